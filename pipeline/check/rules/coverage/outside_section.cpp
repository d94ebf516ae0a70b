#include "pipeline/check/rules/rules.h"
#include "pipeline/time/timecode.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (SectionSpan const& span : input.timeline.sections()) {
        Section const& section = input.lesson.sections[static_cast<std::size_t>(span.section)];
        for (ShowCue const& cue : section.show) {
            bool const before = *cue.from < span.in - kTouching;
            bool const after = *cue.from >= span.out || (cue.to && **cue.to > span.out + kTouching);
            if (before || after)
                findings.push_back(
                    kOutsideSection.at(cue.at, *cue.from,
                                       fmt::format("this cue {} its part '{}', which lasts from {} to {}",
                                                   before ? "begins before" : "goes past the end of", span.name,
                                                   print_time(span.in), print_time(span.out)),
                                       "move the cue, or let the part last as long as what it shows"));
        }
    }
    return findings;
}

} // namespace

Rule const kOutsideSection{
    "outside-section", Severity::warning, "a cue outside its part",
    "A cue in \"show\" belongs to its part: it moves with it when the film is cut again. One that "
    "begins before the part, or lasts longer, was mostly moved by hand and forgotten.",
    find};

} // namespace tabard::pipeline
