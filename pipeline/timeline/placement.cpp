#include "pipeline/timeline/placement.h"

namespace tabard::pipeline {

overlay::Corner corner_of(Placement placement)
{
    switch (placement) {
    case Placement::automatic:
    case Placement::top_left:
        return overlay::Corner::top_left;
    case Placement::top_right:
        return overlay::Corner::top_right;
    case Placement::bottom_left:
        return overlay::Corner::bottom_left;
    case Placement::bottom_right:
        return overlay::Corner::bottom_right;
    case Placement::compact_top_left:
        return overlay::Corner::compact_top_left;
    case Placement::compact_top_right:
        return overlay::Corner::compact_top_right;
    case Placement::compact_bottom_left:
        return overlay::Corner::compact_bottom_left;
    case Placement::compact_bottom_right:
        return overlay::Corner::compact_bottom_right;
    }
    return overlay::Corner::top_left;
}

bool places_itself(Section const& section) { return section.placement && **section.placement != Placement::automatic; }

overlay::Corner corner_of(Lesson const& lesson, Section const& section)
{
    return corner_of(places_itself(section) ? **section.placement : *lesson.placement);
}

overlay::Stage stage_of(Lesson const& lesson)
{
    overlay::Stage stage;
    stage.strings = lesson.tuning->strings();
    stage.left_handed = *lesson.left_handed;
    stage.corner = corner_of(*lesson.placement);
    stage.capo = *lesson.capo;
    return stage;
}

} // namespace tabard::pipeline
