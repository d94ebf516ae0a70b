#include "pipeline/check/check_file.h"

#include "overlay/drawing/painter.h"
#include "pipeline/check/picture/picture_facts.h"
#include "pipeline/check/rules/rules.h"
#include "pipeline/cues/finding_line.h"
#include "pipeline/media/read/film_flaws.h"
#include "pipeline/media/read/fingerprint.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

/// What the headers say; through a cut, whose new film need not be there yet, what the cut says.
std::optional<FilmFacts> facts_of_film(OpenedLesson const& opened)
{
    if (!opened.film.headers && !opened.through)
        return std::nullopt;
    FilmFacts facts;
    facts.media = opened.film.facts;
    if (opened.film.headers)
        facts.claimed_end = opened.film.headers->video->claimed_end;
    if (opened.through)
        facts.doubts = opened.through->reading.doubts;
    if (opened.film.headers && opened.through)
        if (auto doubt = doubt_of_film(opened.through->reading, facts.media, opened.film.headers->video->first_label))
            facts.doubts.push_back(*std::move(doubt));
    auto const& headers =
        opened.film.headers || !opened.through ? opened.film.headers : opened.through->footage.headers;
    if (headers)
        facts.displayed = headers->video->displayed;
    return facts;
}

/// What reading all packets tells: of damage, or why `render` would refuse the film.
Result<void> look_for_flaws(CheckedLesson& checked, CheckRequest const& request)
{
    auto coded = CodedFilm::open(*checked.lesson->footage, request.stop);
    if (!coded)
        return {};
    auto flaws = find_flaws(*coded);
    if (flaws)
        checked.film->flaws = *std::move(flaws);
    else if (flaws.error().kind == ErrorKind::interrupted)
        return flaws.error();
    else if (!checked.film_error)
        checked.film_error = flaws.error();
    return {};
}

/// The facts that cost more than reading headers, where some rule asks for them.
Result<void> look_closer(CheckedLesson& checked, CheckRequest const& request)
{
    FilmFacts& film = *checked.film;
    Lesson const& lesson = *checked.lesson;
    if (lesson.footage_facts && lesson.footage_facts->fingerprint)
        if (auto word = footage_fingerprint(*lesson.footage))
            film.fingerprint = *std::move(word);
    if (request.quick)
        return {};
    TRY_VOID(look_for_flaws(checked, request));
    auto loudness = measure_loudness(*lesson.footage, request.stop);
    if (loudness)
        film.loudness = *loudness;
    else if (loudness.error().kind == ErrorKind::interrupted)
        return loudness.error();
    return {};
}

/// How the overlays look. A theme that the author names and that cannot be used is a finding.
Result<overlay::Theme> look_of(CheckedLesson const& checked, CheckRequest const& request,
                               std::vector<Finding>& findings)
{
    auto theme = request.theme(*checked.lesson, *checked.timeline);
    if (theme || theme.error().kind == ErrorKind::interrupted || checked.lesson->theme->empty())
        return theme;
    std::string const& why = theme.error().what;
    std::size_t const advice = why.find("; ");
    findings.push_back(
        kBadValue.at(checked.lesson->theme.at, std::nullopt, why.substr(0, advice),
                     advice == why.npos ? "name another theme, or take \"theme\" out" : why.substr(advice + 2)));
    return request.pictures.theme;
}

Result<void> look_at_the_film(CheckedLesson& checked, CheckRequest const& request, overlay::Theme theme)
{
    PictureRequest how = request.pictures;
    how.theme = std::move(theme);
    how.survey.stop = request.stop;
    auto pictures = look_at_pictures(*checked.lesson, checked.film->displayed, *checked.timeline, how);
    if (pictures)
        checked.pictures = *std::move(pictures);
    else if (pictures.error().kind == ErrorKind::interrupted)
        return pictures.error();
    else
        checked.film_error = pictures.error();
    return {};
}

/// What the headers alone tell of why `render` would refuse the film.
std::optional<Error> refusal(KnownFilm const& film, Lesson const& lesson)
{
    if (film.error)
        return film.error;
    auto const painter = overlay::Painter::create(stage_of(lesson, film.headers->video->displayed), {});
    return painter ? std::nullopt : std::optional(painter.error());
}

/// `written`: the file that it was read from, for its charts without a time.
Result<CheckedLesson> check_lesson_on_film(OpenedLesson opened, LessonFile const* written, CheckRequest const& request)
{
    CheckedLesson checked;
    checked.film = facts_of_film(opened);
    checked.film_is_there = opened.film.headers.has_value();
    if (checked.film_is_there || !opened.through)
        checked.film_error = refusal(opened.film, opened.lesson);
    checked.lesson = std::move(opened.lesson);
    checked.timeline = std::move(opened.timeline);
    bool const looks = checked.film_is_there && !request.quick && !checked.film_error;
    overlay::Theme theme = request.pictures.theme;
    if (request.theme && (looks || !checked.lesson->theme->empty())) {
        TRY_ASSIGN(theme, look_of(checked, request, opened.findings));
    }
    OtherFindings others{request.other_codes, false, {}};
    if (checked.film_is_there) {
        TRY_VOID(look_closer(checked, request));
        if (looks && !checked.film_error)
            TRY_VOID(look_at_the_film(checked, request, std::move(theme)));
        if (request.sound_findings) {
            TRY_ASSIGN(others.findings, request.sound_findings(*checked.lesson));
            others.sought = true;
        }
    }
    auto const charts = written ? charts_in_time(*written, *checked.lesson, checked.timeline->facts()) : std::nullopt;
    CheckInput const input{*checked.lesson,
                           *checked.timeline,
                           checked.film ? &*checked.film : nullptr,
                           checked.pictures ? &*checked.pictures : nullptr,
                           checked.film_error ? &*checked.film_error : nullptr,
                           charts ? &*charts : nullptr};
    checked.result = check_lesson(input, std::move(opened.findings), std::move(others), {request.strict});
    return checked;
}

} // namespace

Result<CheckedLesson> check_opened(OpenedLesson opened, CheckRequest const& request)
{
    return check_lesson_on_film(std::move(opened), nullptr, request);
}

Result<CheckedLesson> check_written(WrittenLesson written, CheckRequest const& request)
{
    if (written.file.reading.lesson) {
        LessonFile const file{written.file.path, written.file.text, written.file.document, {}};
        return check_lesson_on_film(as_written(std::move(written), Level::full), &file, request);
    }
    CheckedLesson checked;
    checked.result = check_result(std::move(written.file.reading.findings), {request.strict});
    return checked;
}

CheckResult quick_check(OpenedLesson const& opened, std::span<FindingCode const> other_codes)
{
    CheckRequest request;
    request.quick = true;
    request.other_codes = other_codes;
    auto timeline = Timeline::resolve(opened.lesson, opened.timeline.facts()); // of any level
    auto checked =
        check_opened({opened.lesson, opened.findings, opened.film, std::move(timeline), opened.through}, request);
    return checked ? std::move(checked->result) : CheckResult{};
}

CheckResult check_charts(LessonFile const& file, MediaFacts const& film)
{
    if (!file.reading.lesson)
        return {};
    auto const charts = charts_in_time(*file.reading.lesson, film);
    CheckInput const input{charts.lesson, charts.timeline, nullptr, nullptr, nullptr, &charts};
    return check_lesson(input, {}, {}, {false, true});
}

Result<void> check_shows_chords(CheckResult const& result, std::filesystem::path const& cues)
{
    auto const found = std::ranges::find(result.findings, kNoChords.code,
                                         [](FoldedFinding const& folded) { return folded.finding.code; });
    if (found == result.findings.end())
        return {};
    return Error{ErrorKind::invalid_input, finding_line(cues, found->finding)};
}

} // namespace tabard::pipeline
