#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (SectionSpan const& span : input.timeline.sections()) {
        Section const& section = input.lesson.sections[static_cast<std::size_t>(span.section)];
        if (!section.bars && (section.strum || section.count_in > 0 || !section.pins.empty()))
            findings.push_back(
                kNothingPlayed.at(section.at, span.in,
                                  fmt::format("part '{}' is counted, pinned or strummed, but has no bars", span.name),
                                  "write its chords into \"bars\""));
    }
    return findings;
}

} // namespace

Rule const kNothingPlayed{
    "nothing-played", Severity::warning, "a part that is played, without bars",
    "A strum, a count-in and pins are shown along a chart. Without \"bars\" they do nothing, and the "
    "part has no chords.",
    find};

} // namespace tabard::pipeline
