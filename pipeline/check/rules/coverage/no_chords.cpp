#include "pipeline/check/rules/rules.h"
#include "pipeline/cues/next_command.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

bool has_chord(Chart const& chart)
{
    return std::ranges::any_of(chart.written, [](WrittenBar const& bar) {
        return std::ranges::any_of(bar.chords, [](ChartChord const& chord) { return !chord.name.empty(); });
    });
}

/// Whether a learner sees what to play in this part.
bool shows_playing(Section const& section)
{
    return (section.bars && has_chord(**section.bars)) ||
           std::ranges::any_of(section.show, [](ShowCue const& cue) { return cue.text.empty(); });
}

/// A part that has a tempo of its own is most likely played.
bool seems_played(Section const& section)
{
    return section.tempo && section.at <= section.tempo->at && section.tempo->at <= section.end;
}

std::vector<Finding> find(CheckInput const& input)
{
    auto const& sections = input.lesson.sections;
    if (input.broken || sections.empty() || std::ranges::any_of(sections, shows_playing))
        return {};
    auto const played = std::ranges::find_if(sections, seems_played);
    Section const& section = played == sections.end() ? sections.front() : *played;
    return {kNoChords.at(
        section.at, std::nullopt, "no part of the lesson has a chord: the film would show titles and texts alone",
        fmt::format(
            "write the chords of each part that is played, as in \"bars\": \"C | G | Am | F\"; then find in the "
            "sound when they are played ({})",
            listen_command(input.lesson.file)))};
}

} // namespace

Rule const kNoChords{
    "no-chords",
    Severity::error,
    "a lesson without any chord",
    "No part has a chord in \"bars\", and none shows a chord or a strum in \"show\": the film would show titles and "
    "texts "
    "alone, so render and sheet refuse it. A lesson that is meant so accepts this code. Told where the reader finds no "
    "error, as the chords may stand in what it could not read.",
    find,
    false,
    true};

} // namespace tabard::pipeline
