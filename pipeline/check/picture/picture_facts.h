#pragma once
#include "pipeline/check/picture/covering.h"
#include "pipeline/cues/lesson.h"
#include "pipeline/timeline/placement.h"

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

/// The word for a corner in a cue file.
std::string_view placement_word(overlay::Corner corner);

/// Looks at the lesson's footage, which is displayed at this size. Errors: as survey() and covering().
Result<PictureFacts> look_at_pictures(Lesson const& lesson, SizePx displayed, Timeline const& timeline,
                                      PictureRequest const& request = {});

} // namespace tabard::pipeline
