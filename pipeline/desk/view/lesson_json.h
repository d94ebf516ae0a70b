#pragma once
#include "pipeline/desk/view/lesson_view.h"

#include <string>

namespace tabard::pipeline {

/// The film as the page can have it.
struct FilmState {
    std::string state; ///< "ready", "making", "missing", "refused"
    double share = 1;  ///< of a stand-in that is being made
    std::string why;   ///< in words, where it is not there
};

/// What of a film its headers say: ready, missing or refused.
FilmState film_state(KnownFilm const& film);

/// The lesson as the page gets it (see README.md).
std::string lesson_json(LessonView const& view, FilmState const& film);

/// The film of a view; of the last version that could be laid out where this one names none that is understood.
KnownFilm const& film_of(LessonView const& view);

/// The displayed size of a film, and of the picture that overlays are laid out in where there is none.
SizePx displayed_size(KnownFilm const& film);

} // namespace tabard::pipeline
