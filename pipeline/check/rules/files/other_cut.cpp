#include "pipeline/check/rules/rules.h"

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    if (input.film)
        for (CutDoubt const& doubt : input.film->doubts)
            findings.push_back(kOtherCut.at(input.lesson.footage.at, std::nullopt, doubt.what, doubt.fix));
    return findings;
}

} // namespace

Rule const kOtherCut{
    "other-cut", Severity::warning, "a film that is not the one its cut makes, or a cut that leaves times open",
    "Through a cut every cue is as far from the film's first frame as the cut says. A film of another "
    "length, or one whose timecode begins elsewhere, is mostly another one, or has a title before it "
    "that the cut does not know. A list that does not say how it counts, or takes what the footage does "
    "not have, may have been read wrongly.",
    find};

} // namespace tabard::pipeline
