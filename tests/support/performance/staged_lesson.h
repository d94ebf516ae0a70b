#pragma once
#include "overlay/music/meter.h"
#include "tests/support/performance/note_bank.h"

#include <cstdint>
#include <string>
#include <vector>

namespace tabard::tests {

/// How a built teacher plays the parts of a lesson. A pattern is one bar of even steps: D and d a loud and a soft
/// downstroke, U an upstroke, B the chord's lowest string, T a stroke on its three highest, x a damped stroke, 1 to 4
/// one string from the highest on, - nothing.
struct PlayingKind {
    std::string name;
    overlay::Meter meter;
    double slowest = 60; ///< pulses a minute, as a cue file counts them
    double fastest = 140;
    std::vector<std::string> patterns;
};

enum class Voice { read_aloud, recorded }; ///< espeak-ng; recorded words of a telephone exchange

/// What else there is in a lesson.
struct Staging {
    int parts = 3;
    double opening = 8; ///< seconds of talk before the first part; 0 is none
    double between = 8; ///< seconds of talk between parts, give or take half; 0 is none
    double closing = 3;
    double breath = 1;  ///< seconds between talk and playing, and between parts without talk
    double singing = 0; ///< level over the playing, relative to it
    Voice voice = Voice::read_aloud;
    double voice_level = 1;     ///< relative to the playing
    double noise_decibels = 45; ///< playing over noise
    double reverb_seconds = 0.3;
};

struct StagedStretch {
    double from = 0; ///< seconds
    double to = 0;
    bool played = false;
    double tempo = 0; ///< of what is played, pulses a minute
};

struct StagedLesson {
    std::vector<StagedStretch> stretches; ///< rising; between them nothing sounds but the room
    overlay::Meter meter;
    std::vector<float> sound; ///< mono at kSampleRate
};

/// Kinds whose patterns settings may be tuned on, and others for evaluation.
std::vector<PlayingKind> tuning_kinds();
std::vector<PlayingKind> evaluation_kinds();

/// The same seed gives the same lesson.
StagedLesson stage_lesson(PlayingKind const& kind, Staging const& staging, NoteBank& bank, std::uint32_t seed);

} // namespace tabard::tests
