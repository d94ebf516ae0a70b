#pragma once
#include "pipeline/check/picture/covering.h"
#include "pipeline/cues/lesson.h"

namespace tabard::pipeline {

/// What the pictures of the footage say about a lesson: what the picture rules look at.
struct PictureFacts {
    overlay::Corner corner = overlay::Corner::top_left; ///< where the overlays sit
    Survey survey;
    std::vector<SectionCover> covers;
};

struct PictureRequest {
    overlay::Theme theme = overlay::default_theme();
    Corners corners = Corners::where_needed;
    SurveyOptions survey;
};

/// How the overlays of `lesson` are laid out on its footage.
overlay::Stage stage_of(Lesson const& lesson, SizePx displayed);

/// The corner of a placement (`automatic`: top left), and the word for it in a cue file.
overlay::Corner corner_of(Placement placement);
std::string_view placement_word(overlay::Corner corner);

/// Errors: as survey() and covering().
Result<PictureFacts> look_at_pictures(Lesson const& lesson, Timeline const& timeline,
                                      PictureRequest const& request = {});

} // namespace tabard::pipeline
