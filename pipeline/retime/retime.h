#pragma once
#include "overlay/base/result.h"
#include "pipeline/cues/cue_document.h"
#include "pipeline/cues/lesson.h"
#include "pipeline/retime/retime_report.h"
#include "pipeline/time/edit_map.h"
#include "pipeline/timeline/timeline.h"

#include <optional>
#include <string>

namespace tabard::pipeline {

struct RetimeOptions {
    Time new_length{0};                    ///< of the new film; 0: up to its last kept piece
    std::string footage;                   ///< the new film as the new cue file names it; empty: as before
    std::optional<MediaFacts> new_footage; ///< noted in the new cue file, where known
};

/// A cue file for the new film, and what became of each cue.
struct Retimed {
    JsonValue document;
    RetimeReport report;
};

/// The cue file of a lesson with every time moved to the new film. `document`, `lesson` and `timeline` are one file,
/// read once: they are matched by their places. Sections are moved, or written as pieces that know where in their bars
/// they begin; a stretch that is shown twice gives two sections; what is cut out is left out. Order follows the new
/// film. Notes, unknown keys and the places of values in the old file stay.
Retimed retime(JsonValue const& document, Lesson const& lesson, Timeline const& timeline, EditMap const& cut,
               RetimeOptions const& options = {});

} // namespace tabard::pipeline
