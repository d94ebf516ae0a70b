#pragma once
#include "overlay/base/result.h"
#include "pipeline/cues/chord_annotations.h"
#include "pipeline/cues/cue_document.h"
#include "pipeline/cues/lesson.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// A part of the film as far as it is known before anybody wrote a chord.
struct StarterSection {
    std::string name;
    Time from{0};
    Time to{0};
    std::optional<Tempo> tempo;
    bool played = false;                   ///< wants a chart
    std::optional<overlay::Meter> meter{}; ///< where it is heard clearly
};

/// What a new cue file is made from.
struct Starter {
    std::string title;
    std::string footage; ///< as the cue file should name it: relative to its own folder
    Time duration{0};    ///< end of the last picture
    FrameRate rate;
    std::string fingerprint; ///< of the footage's content; may be empty
    std::vector<StarterSection> sections;
    Time first_picture{0};                ///< no section begins before it
    std::vector<AnnotatedChord> chords{}; ///< in the film; where there are any, they are shown in one section
};

/// A text of somebody else's, such as a film's title, as a title that a cue file may have: one line of UTF-8 without
/// control characters, kLongestTitle bytes at most, no blanks at its ends. May be empty.
std::string starter_title(std::string_view text);
constexpr std::size_t kLongestTitle = 200;

/// A cue file to fill in: valid as it stands, with notes that say what to write where. Without sections it has one that
/// covers the film. Fails with invalid_input where the footage's name cannot stand in a cue file.
Result<JsonValue> starter_document(Starter const& starter);

} // namespace tabard::pipeline
