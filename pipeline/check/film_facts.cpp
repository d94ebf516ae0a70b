#include "pipeline/check/film_facts.h"

#include "pipeline/media/read/probe.h"

namespace tabard::pipeline {

Result<FilmFacts> film_facts(std::filesystem::path const& footage, std::stop_token stop)
{
    TRY_ASSIGN(MediaInfo const info, probe_film(footage, stop));
    FilmFacts facts;
    facts.media = {info.video->start, info.video->start + info.video->duration, info.video->rate};
    facts.displayed = info.video->displayed;
    return facts;
}

} // namespace tabard::pipeline
