#include "pipeline/check/rules/rules.h"
#include "pipeline/cues/meter_ticks.h"
#include "pipeline/time/timecode.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    Time played_until = input.film ? input.film->media.first_picture : Time{0};
    for (SectionSpan const& span : input.timeline.sections()) {
        Section const& section = input.lesson.sections[static_cast<std::size_t>(span.section)];
        bool const from_bar_one = !section.piece || section.piece->from_bar == BarPosition{};
        if (section.count_in > 0 && span.map && from_bar_one) {
            Time const start = span.map->time_at(-section.count_in * bar_ticks(*section.meter));
            if (start < played_until - kTouching)
                findings.push_back(kCountInRoom.at(section.at, start,
                                                   fmt::format("the count-in of '{}' would begin at {}, before {}",
                                                               span.name, print_time(start), print_time(played_until)),
                                                   "count fewer bars, or let the part begin later"));
        }
        played_until = std::max(played_until, span.bars_out > span.bars_in ? span.bars_out : Time{0});
    }
    return findings;
}

} // namespace

Rule const kCountInRoom{
    "count-in-room", Severity::warning, "no room for the count-in",
    "The count stands before bar 1, which begins at \"from\". Here bars of the part before are still "
    "played then, or the film has not begun.",
    find};

} // namespace tabard::pipeline
