#include "pipeline/check/rules/readability/short_cue.h"
#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (TalkCue const& cue : talk_cues(input.timeline)) {
        Time const length = cue.out - cue.in;
        if (length > Time{0} && length < ten_pictures(input))
            findings.push_back(kTooShort.at(
                cue.at, cue.in,
                fmt::format("{} is on screen for {:.2f} s, fewer than ten frames", cue.what, to_seconds(length)),
                "show it for at least a second"));
    }
    return findings;
}

} // namespace

Rule const kTooShort{"too-short", Severity::error, "a cue on screen for fewer than ten frames",
                     "Published subtitle guides allow no less than ten frames; nobody can read what is shorter. "
                     "Chords of a chart are exempt: they last as long as they are played.",
                     find};

} // namespace tabard::pipeline
