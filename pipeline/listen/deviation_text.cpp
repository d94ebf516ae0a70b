#include "pipeline/listen/deviation_text.h"

#include "pipeline/time/timecode.h"

#include <fmt/format.h>

namespace tabard::pipeline {

namespace {

bool begins_bar(BarPosition position) { return position.beat == 1 && position.ticks == 0; }

/// "bar 5", "beat 3 of bar 5".
std::string place(BarPosition position)
{
    return begins_bar(position) ? fmt::format("bar {}", position.bar)
                                : fmt::format("beat {} of bar {}", position.beat, position.bar);
}

/// "after bar 4", "before beat 3 of bar 4".
std::string stop(BarPosition position)
{
    return begins_bar(position) && position.bar > 1 ? fmt::format("after bar {}", position.bar - 1)
                                                    : "before " + place(position);
}

std::string bars_text(int first, int last)
{
    if (first == last)
        return fmt::format("bar {} is", first);
    return fmt::format("bars {} {} {} are", first, last == first + 1 ? "and" : "to", last);
}

std::string skipped_text(HeardDeviation const& deviation)
{
    auto const at = print_time(deviation.span.to, 1);
    auto const pause = deviation.span.empty() ? std::string()
                                              : fmt::format(", after a stop at {}", print_time(deviation.span.from, 1));
    if (begins_bar(deviation.position) && begins_bar(deviation.next))
        return fmt::format("{} not played: goes on with {} at {}{}",
                           bars_text(deviation.position.bar, deviation.next.bar - 1), place(deviation.next), at, pause);
    return fmt::format("what is between {} and {} is not played: goes on at {}{}", place(deviation.position),
                       place(deviation.next), at, pause);
}

std::string again_text(HeardDeviation const& deviation)
{
    auto const first = print_time(deviation.span.from, 1);
    auto const last = print_time(deviation.span.to, 1);
    if (deviation.bars_before < 1 || !begins_bar(deviation.again))
        return fmt::format("begins {} anew: first at {}, then at {}, which is shown", place(deviation.again), first,
                           last);
    return fmt::format("{} played again: first from {}, then from {}, which is shown",
                       bars_text(deviation.again.bar, deviation.again.bar + deviation.bars_before - 1), first, last);
}

std::string sure_text(HeardDeviation const& deviation)
{
    switch (deviation.kind) {
    case Deviation::Kind::skipped:
        return skipped_text(deviation);
    case Deviation::Kind::again:
        return again_text(deviation);
    case Deviation::Kind::extra:
        return fmt::format("plays something else {} from {} on, goes on with {} at {}", stop(deviation.position),
                           print_time(deviation.span.from, 1), place(deviation.next), print_time(deviation.span.to, 1));
    case Deviation::Kind::pause:
        break;
    }
    return fmt::format("stops {} at {}, goes on with {} at {}", stop(deviation.position),
                       print_time(deviation.span.from, 1), place(deviation.next), print_time(deviation.span.to, 1));
}

} // namespace

std::string deviation_text(HeardDeviation const& deviation)
{
    return (deviation.sure ? "" : "perhaps: ") + sure_text(deviation);
}

std::string_view deviation_word(Deviation::Kind kind)
{
    switch (kind) {
    case Deviation::Kind::extra:
        return "extra";
    case Deviation::Kind::again:
        return "again";
    case Deviation::Kind::skipped:
        return "skipped";
    case Deviation::Kind::pause:
        break;
    }
    return "pause";
}

} // namespace tabard::pipeline
