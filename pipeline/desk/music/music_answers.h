#pragma once
#include "pipeline/desk/desk.h"
#include "pipeline/desk/view/desk_film.h"

#include <memory>

namespace tabard::pipeline {

/// diagram, shapes, verdict; chart, move, tap.
void add_music_answers(Routes& routes, Desk& desk, std::shared_ptr<DeskFilm> film);

} // namespace tabard::pipeline
