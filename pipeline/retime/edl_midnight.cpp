#include "pipeline/retime/edl_midnight.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {

Result<void> continue_past_midnight(std::vector<EdlEvent>& events, FrameRate rate, std::vector<std::string>& remarks)
{
    std::vector<EdlEvent const*> order;
    for (EdlEvent const& event : events)
        order.push_back(&event);
    std::ranges::stable_sort(order, {}, &EdlEvent::record_in);
    std::int64_t end = 0;
    EdlEvent const* first = nullptr; // of the evening
    for (EdlEvent const* event : order) {
        TRY_ASSIGN(std::int64_t const day, edl_day(rate, event->drop_frame));
        if (event != order.front() && event->record_in - end >= day / 2)
            first = event;
        end = std::max(end, event->record_out);
    }
    if (first == nullptr)
        return {};
    std::int64_t const evening = first->record_in;
    TRY_ASSIGN(std::int64_t const first_day, edl_day(rate, first->drop_frame));
    if (evening >= first_day) // labels past 24 hours count on by themselves
        return {};
    for (EdlEvent& event : events) {
        if (event.record_in >= evening)
            continue;
        TRY_ASSIGN(std::int64_t const day, edl_day(rate, event.drop_frame));
        event.record_in += day;
        event.record_out += day;
    }
    remarks.push_back("the labels of the new film pass midnight: those after it were taken as the next day");
    return {};
}

} // namespace tabard::pipeline
