#pragma once
#include "pipeline/listen/beat_evidence.h"

#include <cstdint>
#include <span>
#include <vector>

namespace tabard::pipeline {

/// The beats of one part and which of its spans were entered half a beat early.
struct BeatTrack {
    std::vector<double> seconds;     ///< beats + 1: the end of the last beat included
    std::vector<std::uint8_t> early; ///< 1 where the chord of a span came half a beat before its beat, a span
    double score = 0; ///< nats above nothing of the chart being played: comparable between settings and places
};

struct BeatSettings {
    double deviation = 0.08;   ///< standard deviation of the logarithm of a beat's length, over the part's usual one
    double step_deviation = 0; ///< and over the beat before it; 0: that says nothing
    double reach_beats = 3;    ///< how far from where it is expected a beat is searched
    PlayingHabits habits{};
};

/// Beats at even steps between the spans' boundaries, to start from.
std::vector<double> beats_between(ExpectedPart const& part, std::vector<double> const& boundaries);

/// Tracks beats around `expected` by a Viterbi search over their times and lengths: each wants an onset, the chord of
/// the chart until the next one, the strokes and rests of the strum pattern, and the length that its neighbours have
/// (dynamic-programming beat tracking: D. Ellis, 2007; here with the chart). A new chord may come half a beat early;
/// where the pattern passes its beat, it may come with any stroke beside it. Where no beats can lie so, they are those
/// expected, with a hopeless score.
BeatTrack track_beats(Hearing const& heard, ChordEvidence const& evidence, ExpectedPart const& part,
                      std::span<double const> expected, BeatSettings const& settings);

} // namespace tabard::pipeline
