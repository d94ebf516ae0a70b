#pragma once
#include "pipeline/cues/cue_document.h"
#include "pipeline/cues/lesson.h"

#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// A part of the film as far as it is known before anybody wrote a chord.
struct StarterSection {
    std::string name;
    Time from{0};
    Time to{0};
    std::optional<Tempo> tempo;
    bool played = false; ///< wants a chart
};

/// What a new cue file is made from.
struct Starter {
    std::string title;
    std::string footage; ///< as the cue file should name it: relative to its own folder
    Time duration{0};
    FrameRate rate;
    std::string fingerprint; ///< of the footage's content; may be empty
    std::vector<StarterSection> sections;
};

/// A cue file to fill in: valid as it stands, with notes that say what to write where. Without sections it has one that
/// covers the film.
JsonValue starter_document(Starter const& starter);

} // namespace tabard::pipeline
