#pragma once
#include "pipeline/desk/desk.h"
#include "pipeline/desk/view/desk_film.h"

#include <string_view>

namespace tabard::pipeline {

/// POST move: a time of the file goes to a frame. Answers as POST edit. At a variable rate the frames must be read: 422
/// until they are.
Answer move_answer(Desk& desk, DeskFilm& film, std::string_view body);

} // namespace tabard::pipeline
