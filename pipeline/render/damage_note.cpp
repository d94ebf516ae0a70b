#include "pipeline/render/damage_note.h"

#include <fmt/format.h>

namespace tabard::pipeline {

std::optional<std::string> note_of_damage(FilmJob const& job, std::vector<FilmFlaw> flaws)
{
    std::erase_if(flaws, [&](FilmFlaw const& flaw) {
        return flaw.to < job.write.from || (job.write.to && flaw.from >= *job.write.to);
    });
    if (flaws.empty())
        return std::nullopt;
    return fmt::format("{} is damaged: {}.", job.footage.string(), words_for(flaws));
}

} // namespace tabard::pipeline
