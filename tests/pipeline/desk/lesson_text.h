#pragma once
#include "pipeline/desk/view/lesson_view.h"

#include <string>
#include <string_view>

#include <fmt/format.h>

namespace tabard::pipeline {

/// A version of a lesson without a film, as the desk has it.
inline LessonView desk_view(std::string text)
{
    LookOf const plain = [](OpenedLesson const&) { return Look{}; };
    return look_at(std::move(text), "/nowhere/lesson.json", FilmHeaders{}, plain);
}

/// A lesson of these parts, with `more` before them.
inline std::string lesson_text(std::string_view parts, std::string_view more = {})
{
    return fmt::format(
        R"({{"tabard": 1, "title": "T", "footage": "film.mp4", "made_for": {{"duration": "10:00"}}, {} "sections": [{}]}})",
        more, parts);
}

} // namespace tabard::pipeline
