#pragma once
#include "overlay/music/shapes/shape.h"

#include <filesystem>
#include <string>
#include <vector>

namespace tabard::overlay {

/// One voicing of npm @tombatossals/chords-db 0.5.1 (MIT).
struct Voicing {
    std::string key;    ///< "C#"
    std::string suffix; ///< "m7b5", "major", "/E"
    int number = 1;     ///< counted from 1 within the chord
    Shape shape;        ///< frets counted from the nut
    std::vector<int> midi;

    std::string chord() const { return key + suffix; }
    std::string id() const { return chord() + " #" + std::to_string(number); }
};

/// All voicings of the data set's guitar.json or ukulele.json.
std::vector<Voicing> read_chords_db(std::filesystem::path const& file);

} // namespace tabard::overlay
