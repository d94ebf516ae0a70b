#include "pipeline/check/rules/rules.h"
#include "pipeline/time/timecode.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kFewestCues = 4;

bool touch(ChordSpan const& a, ChordSpan const& b) { return b.in - a.out <= kTouching; }

/// A talk pauses between its chords; what is played does not.
bool is_played(std::vector<ChordSpan const*> const& cues)
{
    if (cues.size() < kFewestCues)
        return false;
    std::size_t touching = 0;
    for (std::size_t i = 0; i + 1 < cues.size(); ++i)
        touching += touch(*cues[i], *cues[i + 1]) ? 1 : 0;
    return 3 * touching >= 2 * (cues.size() - 1);
}

std::vector<Finding> find(CheckInput const& input)
{
    std::map<int, std::vector<ChordSpan const*>> by_section;
    for (ChordSpan const& chord : input.timeline.chords())
        if (!chord.played)
            by_section[chord.section].push_back(&chord);
    std::vector<Finding> findings;
    for (auto const& [section, cues] : by_section) {
        if (!is_played(cues))
            continue;
        for (std::size_t i = 0; i + 1 < cues.size(); ++i)
            if (!touch(*cues[i], *cues[i + 1]))
                findings.push_back(
                    kChordGap.at(cues[i + 1]->at, cues[i]->out,
                                 fmt::format("no chord is shown from {} to {}, where '{}' ends before '{}' begins",
                                             print_time(cues[i]->out), print_time(cues[i + 1]->in), cues[i]->name,
                                             cues[i + 1]->name),
                                 "let the cue before last until this one, or add the chord that is missing"));
    }
    return findings;
}

} // namespace

Rule const kChordGap{"chord-gap", Severity::warning, "a gap between the chords of a part that is played",
                     "Single chord cues that follow each other without a pause are played; a pause longer than one "
                     "frame between two of them leaves the learner without a chord, and is mostly a cue that was lost. "
                     "Parts with fewer than four cues, or where fewer than two in three touch, are talk and may pause.",
                     find};

} // namespace tabard::pipeline
