#pragma once
#include "pipeline/desk/server/exchange.h"
#include "pipeline/desk/view/lesson_view.h"

#include <string_view>

namespace tabard::pipeline {

/// What was tapped as pins; nothing is saved. Status 400 for a body that is not understood, 404 for a part that is not
/// there, 422 where the taps make no sense.
Answer tap_answer(LessonView const& view, std::string_view body);

} // namespace tabard::pipeline
