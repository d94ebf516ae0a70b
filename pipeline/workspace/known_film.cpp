#include "pipeline/workspace/known_film.h"

namespace tabard::pipeline {

MediaFacts facts_of(MediaInfo const& film)
{
    return {film.video->start, film.video->start + film.video->duration, film.video->rate};
}

MediaFacts noted_facts(Lesson const& lesson)
{
    MediaFacts facts;
    if (!lesson.footage_facts)
        return facts;
    if (lesson.footage_facts->duration)
        facts.duration = **lesson.footage_facts->duration;
    if (lesson.footage_facts->rate)
        facts.rate = **lesson.footage_facts->rate;
    return facts;
}

} // namespace tabard::pipeline
