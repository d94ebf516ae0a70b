#include "pipeline/check/rules/music/judged_shapes.h"
#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (HeldShape const& held : held_shapes(input.lesson))
        if (!held.verdict.faults.empty())
            findings.push_back(kBadFingering.at(
                held.at, first_shown(input.timeline, held.name),
                fmt::format("'{}': {}", held.label, overlay::text_of(held.verdict.faults.front(), held.shape)),
                "correct \"fingers\": one sign for each string, - where no finger presses"));
    return findings;
}

} // namespace

Rule const kBadFingering{
    "bad-fingering", Severity::error, "fingers that no hand has",
    "A finger on a muted or open string, none on a fretted one, one finger on two frets, a barre over a "
    "string that is to sound lower: the diagram could not be played as drawn.",
    find};

} // namespace tabard::pipeline
