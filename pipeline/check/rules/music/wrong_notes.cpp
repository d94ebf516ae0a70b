#include "pipeline/check/rules/music/judged_shapes.h"
#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (JudgedShape const& judged : judged_shapes(input.lesson))
        if (!judged.verdict.foreign.empty())
            findings.push_back(kWrongNotes.at(judged.at, first_shown(input.timeline, judged.name),
                                              fmt::format("the shape of '{}': {}", judged.label, judged.words),
                                              "correct the fret, or name the chord that these frets make"));
    return findings;
}

} // namespace

Rule const kWrongNotes{
    "wrong-notes", Severity::error, "a shape with a note that its name does not have",
    "From frets and tuning come the notes that sound; one of them is not in the chord. A wrong shape on "
    "screen is what a learner practises.",
    find};

} // namespace tabard::pipeline
