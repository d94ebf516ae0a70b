#pragma once
#include "overlay/base/result.h"
#include "overlay/music/names/key.h"
#include "pipeline/cues/lesson_file.h"

#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// How a lesson shall sound, and where its capo shall be. What is not said stays.
struct TransposeRequest {
    std::optional<overlay::Key> key; ///< that sounds
    std::optional<int> capo;         ///< fret, 0 for none
};

struct Transposed {
    JsonValue document;
    int semitones = 0;                   ///< by which the shapes were moved: -6 to 6
    std::string shapes_key;              ///< of the new shapes; empty where the lesson says no key
    std::vector<std::string> own_shapes; ///< names with a shape of the author's that the lesson used and now has not
};

/// Moves all chord names of a lesson, so that it sounds in another key, or so that the sound stays with another capo.
/// Names keep the author's spelling of what kind of chord they are; roots keep their degree of the key. Shapes of the
/// author's stay under their names. Fails with invalid_input where a key is asked for and the lesson says none, where
/// one is major and the other minor, and at a name that is no chord, which nobody can move.
Result<Transposed> transpose(LessonFile const& file, TransposeRequest const& request);

} // namespace tabard::pipeline
