#include "pipeline/render/damage_note.h"

#include "pipeline/media/read/film_flaws.h"

#include <fmt/format.h>

namespace tabard::pipeline {

Result<std::optional<std::string>> note_of_damage(FilmJob const& job, CodedFilm& film)
{
    TRY_ASSIGN(auto flaws, find_flaws(film));
    std::erase_if(flaws, [&](FilmFlaw const& flaw) {
        return flaw.to < job.write.from || (job.write.to && flaw.from >= *job.write.to);
    });
    if (flaws.empty())
        return std::optional<std::string>{};
    return std::optional(fmt::format("{} is damaged: {}.", job.footage.string(), words_for(flaws)));
}

} // namespace tabard::pipeline
