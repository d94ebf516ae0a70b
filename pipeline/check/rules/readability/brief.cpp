#include "pipeline/check/rules/readability/short_cue.h"
#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// 5/6 s, the shortest subtitle of a widely used streaming style guide.
constexpr Time kShortest = from_ticks(5, 1, 6);

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (TalkCue const& cue : talk_cues(input.timeline)) {
        Time const length = cue.out - cue.in;
        if (length >= ten_pictures(input) && length < kShortest)
            findings.push_back(kBrief.at(cue.at, cue.in,
                                         fmt::format("{} is on screen for {:.2f} s only", cue.what, to_seconds(length)),
                                         "show it for at least 5/6 of a second"));
    }
    return findings;
}

} // namespace

Rule const kBrief{
    "brief", Severity::warning, "a cue on screen for less than 5/6 of a second",
    "Subtitle guides of streaming services ask for at least 5/6 s. A shape takes longer to read than a word. "
    "Chords of a chart are exempt: they last as long as they are played.",
    find};

} // namespace tabard::pipeline
