#pragma once
#include "pipeline/cues/lesson.h"

#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// What is to be said of a shape of the author's own.
struct OwnShape {
    overlay::Shape shape;           ///< with the fingers that were given, else the usual ones; none where four cannot
    bool fine = false;              ///< it makes the chord, and a hand can hold it
    std::vector<std::string> what;  ///< what is wrong, then what is good to know
    std::string fingers;            ///< the usual ones; empty where four fingers cannot hold it
    std::vector<std::string> names; ///< chords that these frets make, likeliest first
};

/// `section`: index into Lesson::sections, whose chart says what comes before and after. Fails with invalid_input where
/// frets or fingers cannot be read, or are not those of the instrument.
Result<OwnShape> own_shape(Lesson const& lesson, std::string const& name, std::string const& frets,
                           std::string const& fingers, std::optional<std::size_t> section);

} // namespace tabard::pipeline
