#include "pipeline/check/rules/rules.h"

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    if (!shows_titles_alone(input.lesson))
        return {};
    return {kNoChords.at(input.lesson.sections.front().at, std::nullopt,
                         "no section has chords, words or a strum: the film would show titles alone",
                         "write the chords of each section into \"bars\", as in \"bars\": \"C | G/B | Am7 | F\"")};
}

} // namespace

Rule const kNoChords{
    "no-chords", Severity::error, "a lesson without a chord",
    "A new cue file has the parts of the lesson and no chords yet. A film made from it would show the titles of the "
    "parts and nothing to play.",
    find};

} // namespace tabard::pipeline
