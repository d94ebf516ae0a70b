#include "pipeline/check/rules/rules.h"

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    if (!input.film || !input.film->doubt)
        return {};
    return {kOtherCut.at(input.lesson.footage.at, std::nullopt, input.film->doubt->what, input.film->doubt->fix)};
}

} // namespace

Rule const kOtherCut{"other-cut", Severity::warning, "a film that is not the one its cut makes",
                     "Through a cut every cue is as far from the film's first frame as the cut says. A film of another "
                     "length, or one whose timecode begins elsewhere, is mostly another one, or has a title before it "
                     "that the cut does not know.",
                     find};

} // namespace tabard::pipeline
