#include "pipeline/check/rules/rules.h"
#include "pipeline/time/timecode.h"
#include "pipeline/timeline/resting.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    if (!input.pictures)
        return findings;
    auto const rests = rests_by_section(input.timeline.sections());
    for (FilmSpan const& frozen : input.pictures->survey.frozen) {
        auto const& chords = input.timeline.chords();
        auto const played = std::ranges::find_if(chords, [&](ChordSpan const& chord) {
            Interval const both = overlap({chord.in, chord.out}, {frozen.in, frozen.out});
            return chord.played && !chord.name.empty() && !both.empty() &&
                   !without(both, rests.at(chord.section)).empty();
        });
        if (played == chords.end())
            continue;
        auto const& section = input.lesson.sections[static_cast<std::size_t>(played->section)];
        findings.push_back(kFrozenPicture.at(
            section.at, std::max(frozen.in, played->in),
            fmt::format("nothing moves from {} to {} while the chords of '{}' run", print_time(frozen.in, 1),
                        print_time(frozen.out, 1), *section.name),
            "look whether the film stands still there, and give the part the times at which it is played"));
    }
    return findings;
}

} // namespace

Rule const kFrozenPicture{"frozen-picture",
                          Severity::warning,
                          "chords run over a picture that stands still",
                          "A hand that plays moves. Where not one cell of the picture changes for two seconds or more, "
                          "the film has frozen (a still, "
                          "a camera that stopped) or the times are wrong. Looked for in keyframes, and between them "
                          "where coded frames are so small that nothing can change in them.",
                          find,
                          true};

} // namespace tabard::pipeline
