#include "pipeline/check/rules/rules.h"
#include "pipeline/time/timecode.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    SectionSpan const* longest = nullptr;
    for (SectionSpan const& span : input.timeline.sections()) {
        if (longest && longest->out - span.in > kTouching)
            findings.push_back(
                kSectionOverlap.at(span.at, span.in,
                                   fmt::format("part '{}' begins at {}, while '{}' lasts until {}", span.name,
                                               print_time(span.in), longest->name, print_time(longest->out)),
                                   "end the first one where the second begins; check its tempo and bars"));
        if (!longest || span.out > longest->out)
            longest = &span;
    }
    return findings;
}

} // namespace

Rule const kSectionOverlap{
    "section-overlap", Severity::error, "two parts at the same time",
    "A film is in one part at a time. Where bars run into the next part, the tempo, the number of "
    "bars or a time is wrong. An overlap of less than one frame is not counted.",
    find};

} // namespace tabard::pipeline
