#include "pipeline/check/rules/music/judged_shapes.h"
#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (JudgedShape const& judged : judged_shapes(input.lesson))
        if (judged.verdict.foreign.empty() && !judged.verdict.lacks_only_optional)
            findings.push_back(kMissingTone.at(judged.at, first_shown(input.timeline, judged.name),
                                               fmt::format("the shape of '{}': {}", judged.label, judged.words),
                                               "add the tone, or name the chord that these frets make"));
    return findings;
}

} // namespace

Rule const kMissingTone{
    "missing-tone", Severity::warning, "a shape without a tone that makes the chord",
    "Players leave out the fifth, and low tones of tall chords. Without its third or its seventh a chord "
    "is another one.",
    find};

} // namespace tabard::pipeline
