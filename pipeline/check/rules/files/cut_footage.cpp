#include "pipeline/check/rules/rules.h"
#include "pipeline/time/timecode.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

template <class Span>
std::ptrdiff_t lost_of(std::vector<Span> const& spans, Time end)
{
    return std::ranges::count_if(spans, [&](Span const& span) { return span.in >= end; });
}

/// How many cues begin after the film's end.
std::ptrdiff_t lost_cues(Timeline const& timeline, Time end)
{
    return lost_of(timeline.chords(), end) + lost_of(timeline.strums(), end) + lost_of(timeline.texts(), end);
}

std::vector<Finding> find(CheckInput const& input)
{
    if (!input.film || !input.film->claimed_end)
        return {};
    Time const end = input.film->media.duration;
    auto const lost = lost_cues(input.timeline, end);
    std::string const what =
        fmt::format("the film ends at {}, though its header says {}: it seems to be copied only in "
                    "part; {}",
                    print_time(end), print_time(*input.film->claimed_end),
                    lost == 0   ? "no cue is lost"
                    : lost == 1 ? "1 cue after that is lost"
                                : fmt::format("{} cues after that are lost", lost));
    return {kCutFootage.at(input.lesson.footage.at, std::nullopt, what, "copy the film again")};
}

} // namespace

Rule const kCutFootage{"cut-footage", Severity::error, "footage that is copied only in part",
                       "A film whose copy was broken off still says in its header how long it was. Where its frames "
                       "truly end is counted, "
                       "and render refuses to leave out overlays in silence.",
                       find};

} // namespace tabard::pipeline
