#pragma once
#include "pipeline/desk/server/exchange.h"
#include "pipeline/desk/view/lesson_view.h"

namespace tabard::pipeline {

/// GET shapes: what a player could fret for a chord of this lesson, and the edits that take it.
Answer shapes_answer(LessonView const& view, Request const& request);
/// GET diagram: one shape as film and chord charts draw it. 422 where it cannot be read.
Answer diagram_answer(LessonView const& view, Request const& request);
/// GET verdict: what is to be said of a shape of the author's own. 422 where it cannot be read.
Answer verdict_answer(LessonView const& view, Request const& request);

} // namespace tabard::pipeline
