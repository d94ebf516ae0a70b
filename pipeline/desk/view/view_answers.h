#pragma once
#include "pipeline/desk/desk.h"
#include "pipeline/desk/view/desk_film.h"

#include <memory>

namespace tabard::pipeline {

/// lesson, scenes, layer, frames, film, still, waveform. They keep what is read of the film in the background: what
/// holds the routes must go before the desk. Gives what is read of the film.
std::shared_ptr<DeskFilm> add_view_answers(Routes& routes, Desk& desk);

} // namespace tabard::pipeline
