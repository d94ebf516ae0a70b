#pragma once
#include "pipeline/listen/chord_fit.h"
#include "pipeline/listen/expected_music.h"
#include "pipeline/listen/hearing.h"
#include "pipeline/listen/playing.h"

#include <cstddef>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// How far the cue of a chord may be from its sound, in seconds.
struct CueWindow {
    double late = 0.045;
    double early = 0.125;
    bool pushes = true; ///< chords may come with a stroke beside their beat, as many play: half a beat off, or after it
    double clear = 6;   ///< nats by which cues must be off by a third of a beat or more before it is said

    /// Whether cues are off that come `seconds` after their sound together. Many are known to some 5 ms, so half of
    /// what nobody notices early is a mistake of theirs.
    bool many_are_off(double seconds) const { return seconds > 0.9 * late || -seconds > 0.5 * early; }
};

/// A part with times: each span lasts from its cue to where it ends, which is before the next cue where the playing
/// pauses. A span that is skipped is empty.
struct CuedPart {
    ExpectedPart chart;
    std::vector<Stretch> spans; ///< seconds of the film, one a span of the chart
};

/// Neighbouring spans whose cues are off their sound by the same time.
struct CuesOff {
    std::size_t first = 0;
    std::size_t last = 0; ///< included
    std::size_t cues = 0; ///< changes among them
    double late = 0;      ///< seconds by which the cues come after their sound; negative: before it
};

/// The share of a part's beats that must sound as written where its cues are; else it is not heard there.
constexpr double kHeardHere = 0.5;

/// What the sound says of a part where its cues put it.
struct PartReading {
    double fits = 0;              ///< share of the beats that sound as written, 0 to 1
    std::optional<double> late;   ///< seconds by which most of its cues come after their sound; none where few say it
    std::vector<CuesOff> off;     ///< in order; a change that the sound says nothing clear about is in none
    std::vector<ChordFit> chords; ///< a span, judged where it sounds
    double margin = 0;            ///< nats by which all cues are likelier right than half a beat or a beat off
    std::optional<double> elsewhere; ///< it is not played where its cues are, but so many seconds later
};

constexpr double kClearMargin = 5;  ///< nats from which a margin says something
constexpr std::size_t kFewCues = 4; ///< so many changes say together what one cannot

} // namespace tabard::pipeline
