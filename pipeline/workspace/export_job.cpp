#include "pipeline/workspace/export_job.h"

namespace tabard::pipeline {

Result<ExportJob> export_job(OpenedLesson const& opened)
{
    namespace fs = std::filesystem;
    KnownFilm const& footage = opened.through ? opened.through->footage : opened.film;
    MediaFacts const& film = opened.film.facts;
    if (film.duration <= Time{0})
        return footage.error.value_or(Error{ErrorKind::invalid_input, "the length of the film is not known"});
    ExportJob job;
    job.title = *opened.lesson.title;
    std::error_code failed;
    job.footage = fs::absolute(footage.path, failed).lexically_normal().string();
    if (failed)
        return Error{ErrorKind::io, failed.message()};
    job.footage_length = footage.facts.duration;
    if (footage.headers)
        job.footage_label = footage.headers->video->first_label;
    job.rate = film.rate;
    job.length = opened.through ? opened.through->reading.new_length : film.duration;
    job.cut = opened.through ? opened.through->reading.map : EditMap::identity(job.length);
    job.cues = export_cues(opened.lesson, opened.timeline);
    return job;
}

} // namespace tabard::pipeline
