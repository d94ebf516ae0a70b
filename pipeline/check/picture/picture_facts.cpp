#include "pipeline/check/picture/picture_facts.h"

namespace tabard::pipeline {

std::string_view placement_word(overlay::Corner corner)
{
    switch (corner) {
    case overlay::Corner::top_left:
        return "top-left";
    case overlay::Corner::top_right:
        return "top-right";
    case overlay::Corner::bottom_left:
        return "bottom-left";
    case overlay::Corner::bottom_right:
        return "bottom-right";
    case overlay::Corner::compact_top_left:
        return "compact-top-left";
    case overlay::Corner::compact_top_right:
        return "compact-top-right";
    case overlay::Corner::compact_bottom_left:
        return "compact-bottom-left";
    case overlay::Corner::compact_bottom_right:
        return "compact-bottom-right";
    }
    return "top-left";
}

overlay::Stage stage_of(Lesson const& lesson, SizePx displayed)
{
    overlay::Stage stage = stage_of(lesson);
    stage.display_width = stage.raster_width = displayed.width;
    stage.display_height = stage.raster_height = displayed.height;
    return stage;
}

Result<PictureFacts> look_at_pictures(Lesson const& lesson, SizePx displayed, Timeline const& timeline,
                                      PictureRequest const& request)
{
    auto const stage = stage_of(lesson, displayed);
    PictureFacts facts;
    facts.corner = stage.corner;
    TRY_ASSIGN(facts.survey, survey(*lesson.footage, timeline, stage, request.theme, request.survey));
    TRY_ASSIGN(facts.covers, covering(facts.survey, timeline, stage, request.theme, request.corners));
    return facts;
}

} // namespace tabard::pipeline
