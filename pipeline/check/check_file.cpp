#include "pipeline/check/check_file.h"

#include "pipeline/cues/reader.h"
#include "pipeline/media/read/fingerprint.h"
#include "pipeline/media/read/probe.h"

namespace tabard::pipeline {
namespace {

/// What the cue file notes about a film that cannot be read.
MediaFacts noted_facts(Lesson const& lesson)
{
    MediaFacts facts;
    if (lesson.footage_facts && lesson.footage_facts->duration)
        facts.duration = **lesson.footage_facts->duration;
    if (lesson.footage_facts && lesson.footage_facts->rate)
        facts.rate = **lesson.footage_facts->rate;
    return facts;
}

/// The facts that cost more than reading headers, where some rule asks for them.
Result<void> look_closer(FilmFacts& film, Lesson const& lesson, CheckRequest const& request)
{
    if (lesson.footage_facts && lesson.footage_facts->fingerprint)
        if (auto word = footage_fingerprint(*lesson.footage))
            film.fingerprint = *std::move(word);
    if (request.quick)
        return {};
    auto loudness = measure_loudness(*lesson.footage, request.stop);
    if (loudness)
        film.loudness = *loudness;
    else if (loudness.error().kind == ErrorKind::interrupted)
        return loudness.error();
    return {};
}

Result<void> look_at_the_film(CheckedLesson& checked, CheckRequest const& request)
{
    PictureRequest how = request.pictures;
    how.survey.stop = request.stop;
    if (request.theme) {
        TRY_ASSIGN(how.theme, request.theme(*checked.lesson));
    }
    auto pictures = look_at_pictures(*checked.lesson, *checked.timeline, how);
    if (pictures)
        checked.pictures = *std::move(pictures);
    else if (pictures.error().kind == ErrorKind::interrupted)
        return pictures.error();
    return {};
}

} // namespace

Result<CheckedLesson> check_opened(Lesson lesson, std::vector<Finding> read, CheckRequest const& request)
{
    CheckedLesson checked;
    auto film = film_facts(*lesson.footage, request.stop);
    if (film) {
        TRY_VOID(look_closer(*film, lesson, request));
        checked.film = *std::move(film);
    } else if (film.error().kind == ErrorKind::interrupted) {
        return film.error();
    }
    MediaFacts const facts = checked.film ? checked.film->media : noted_facts(lesson);
    checked.lesson = std::move(lesson);
    checked.timeline = Timeline::resolve(*checked.lesson, facts, {request.level});
    if (checked.film && !request.quick)
        TRY_VOID(look_at_the_film(checked, request));
    CheckInput const input{*checked.lesson, *checked.timeline, checked.film ? &*checked.film : nullptr,
                           checked.pictures ? &*checked.pictures : nullptr};
    OtherFindings others{request.other_codes, false, {}};
    if (checked.film && request.look_elsewhere) {
        TRY_ASSIGN(others.findings, request.look_elsewhere(*checked.lesson));
        others.sought = true;
    }
    checked.result = check_lesson(input, std::move(read), std::move(others), {request.strict});
    return checked;
}

Result<CheckedLesson> check_file(std::filesystem::path const& cues, CheckRequest const& request)
{
    LessonReadOptions options;
    options.footage_rate = [&](std::filesystem::path const& footage) -> std::optional<FrameRate> {
        auto const film = film_facts(footage, request.stop);
        return film ? std::optional{film->media.rate} : std::nullopt;
    };
    TRY_ASSIGN(LessonReading reading, read_lesson(cues, options));
    if (reading.lesson)
        return check_opened(*std::move(reading.lesson), std::move(reading.findings), request);
    CheckedLesson checked;
    checked.result = check_result(std::move(reading.findings), {request.strict});
    return checked;
}

} // namespace tabard::pipeline
