#pragma once
#include "tests/support/performance/performance.h"

#include <filesystem>
#include <string>
#include <vector>

namespace tabard::tests {

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
};

struct Take {
    Performance played;
    std::vector<float> sound;
};

/// The table of conditions that the targets are set for.
std::vector<Condition> conditions();
Take perform(Condition const& condition, NoteBank& bank, std::uint32_t seed);

/// Steel and nylon guitars of the packaged sound fonts that are installed, and the recorded notes of a folder.
std::vector<NoteBank> guitars(std::filesystem::path const& notes_folder);

} // namespace tabard::tests
