#include "pipeline/render/lost_overlays.h"

#include "pipeline/time/timecode.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

bool is_part(FilmJob const& job) { return job.write.from > Time{0} || job.write.to; }

bool is_asked_for(SceneRun const& run, FilmJob const& job)
{
    return run.out > job.write.from && (!job.write.to || run.in < *job.write.to);
}

Error copied_in_part(FilmJob const& job, Time end, Time claimed, Time first_lost)
{
    return {ErrorKind::decode,
            fmt::format("{}: the film ends at {}, though its header says {}: it seems to be copied only in part, and "
                        "the overlays from {} on would be lost. Copy it again, or render what there is with --to {}",
                        job.footage.string(), print_time(end), print_time(claimed), print_time(first_lost),
                        print_time(end))};
}

} // namespace

Result<void> check_overlays_reach(FilmJob const& job, MediaInfo const& film)
{
    auto const& runs = job.runs.all();
    Time const end = film.video->start + film.video->duration;
    auto const lost =
        std::ranges::find_if(runs, [&](SceneRun const& run) { return run.in >= end && is_asked_for(run, job); });
    if (film.video->claimed_end && lost != runs.end())
        return copied_in_part(job, end, *film.video->claimed_end, lost->in);
    auto const seen = [&](SceneRun const& run) { return run.in < end && run.out > film.video->start; };
    if (runs.empty() || is_part(job) || std::ranges::any_of(runs, seen))
        return {};
    return Error{
        ErrorKind::invalid_input,
        fmt::format("{}: not one overlay falls into this film, which lasts from {} to {}; the first would come "
                    "at {}. Is it the film that the cues are for?",
                    job.footage.string(), print_time(film.video->start), print_time(end), print_time(runs.front().in))};
}

std::optional<std::string> note_of_empty_part(FilmJob const& job)
{
    auto const& runs = job.runs.all();
    auto const asked = [&](SceneRun const& run) { return is_asked_for(run, job); };
    if (runs.empty() || !is_part(job) || std::ranges::any_of(runs, asked))
        return std::nullopt;
    return "There is no overlay in this part of the film.";
}

} // namespace tabard::pipeline
