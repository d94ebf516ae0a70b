#pragma once
#include "pipeline/desk/server/exchange.h"
#include "pipeline/desk/view/lesson_view.h"

#include <string_view>

namespace tabard::pipeline {

/// A chart that is being typed: what is wrong in it, its bars, and how the sheet draws them. Status 400 for a body that
/// is not understood, 404 for a part that is not there, 422 for a meter that is none.
Answer chart_answer(LessonView const& view, std::string_view body);

} // namespace tabard::pipeline
