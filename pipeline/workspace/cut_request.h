#pragma once
#include <filesystem>
#include <string>

namespace tabard::pipeline {

/// How a film was cut again, in the words of whoever asks. What is empty is left to the list and the footage.
struct CutRequest {
    std::filesystem::path cut;      ///< the cut list, or the new film itself; empty: not cut
    std::filesystem::path old_film; ///< the film before the cut, to compare the new one with; empty: the footage
    std::string reel;               ///< which source of the list is the footage
    std::string rate;               ///< frames a second of the list's labels
    std::string source_start;       ///< label of the footage's first picture
    std::string record_start;       ///< label of the new film's first picture
    bool lenient = false;           ///< where source and record lengths disagree, the record side is right
};

} // namespace tabard::pipeline
