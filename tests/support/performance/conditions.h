#pragma once
#include "tests/support/performance/performance.h"

#include <string>
#include <vector>

namespace tabard::tests {

enum class Microphone { good, laptop, phone };

/// A kind of recording: how it is played and what lies over it.
struct Condition {
    std::string name;
    Manner manner;
    double cents = 0;
    double noise_decibels = 0; ///< sound over noise; 0 is none
    double reverb_seconds = 0;
    double voice_level = 0; ///< talk over the playing, relative to the playing
    double singing_level = 0;
    bool talk_between = false;
    bool aac = false;
    std::string bit_rate = "64k"; ///< of the AAC
    bool recorded_voice = false;  ///< the talk is a person's where one is installed
    double hum_decibels = 0;      ///< sound over hum; 0 is none
    Microphone microphone = Microphone::good;
    double clipped = 0;     ///< what is above this share of the peak is cut; 0 is nothing
    double click = 0;       ///< level of a metronome that the player follows, relative to the playing; 0 is none
    bool deviating = false; ///< the player leaves the chart
};

struct Take {
    Performance played;
    std::vector<float> sound;
};

/// Kinds of recording: how teachers play and record, and how they leave the chart.
std::vector<Condition> conditions();

/// What is recorded of a performance.
std::vector<float> record(Condition const& condition, Performance const& played, NoteBank& bank, std::uint32_t seed);
Take perform(Condition const& condition, NoteBank& bank, std::uint32_t seed);

} // namespace tabard::tests
