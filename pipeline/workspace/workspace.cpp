#include "pipeline/workspace/workspace.h"

#include "overlay/base/small_letters.h"
#include "pipeline/files/shell_word.h"
#include "pipeline/match/match_cut.h"
#include "pipeline/media/read/probe.h"
#include "pipeline/retime/lesson_through.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <array>
#include <string_view>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

fs::path full_path(fs::path const& file)
{
    std::error_code failed;
    fs::path full = fs::absolute(file, failed);
    return failed ? file : full;
}

bool is_named_as_film(fs::path const& file)
{
    static constexpr std::array<std::string_view, 11> kEndings{".mp4", ".mov", ".mkv", ".webm", ".m4v", ".avi",
                                                               ".mts", ".ts",  ".mpg", ".3gp",  ".mxf"};
    return std::ranges::find(kEndings, small_letters(file.extension().string())) != kEndings.end();
}

/// One name for a file, however it is written.
fs::path real_path(fs::path const& file)
{
    std::error_code failed;
    fs::path real = fs::weakly_canonical(full_path(file), failed);
    return failed ? file : real;
}

Result<CutOptions> list_options(CutRequest const& request, KnownFilm const& footage)
{
    CutOptions options;
    if (footage.facts.duration > Time{0}) {
        options.rate = footage.facts.rate;
        options.footage_length = footage.facts.duration;
    }
    if (!request.rate.empty()) {
        TRY_ASSIGN(options.rate, parse_frame_rate(request.rate));
    }
    options.source = request.reel;
    options.footage = footage.path.filename().string();
    if (footage.headers)
        options.footage_label = footage.headers->video->first_label;
    options.source_start = request.source_start;
    options.record_start = request.record_start;
    options.lenient = request.lenient;
    return options;
}

} // namespace

Workspace::Workspace(std::stop_token stop)
    : Workspace(stop, [stop](fs::path const& film) { return probe_film(film, stop); })
{
}

Workspace::Workspace(std::stop_token stop, Probe probe) : m_stop(std::move(stop)), m_probe(std::move(probe)) {}

Result<MediaInfo> const& Workspace::headers(fs::path const& film)
{
    add_input(film);
    fs::path const real = real_path(film);
    auto found = m_headers.find(real);
    if (found == m_headers.end())
        found = m_headers.emplace(real, m_probe(film)).first;
    return found->second;
}

Result<KnownFilm> Workspace::film_of(Lesson const& lesson)
{
    KnownFilm film;
    film.path = *lesson.footage;
    film.facts = noted_facts(lesson);
    if (film.path.empty()) {
        film.error = Error{ErrorKind::not_found, "the cue file names no footage"};
        return film;
    }
    auto const& known = headers(film.path);
    if (known) {
        film.facts = facts_of(*known);
        film.headers = *known;
        return film;
    }
    if (known.error().kind == ErrorKind::interrupted)
        return known.error();
    film.error = known.error();
    return film;
}

/// A film where a cue file belongs: its bytes would only be said to be no JSON.
Result<void> Workspace::check_no_film(fs::path const& cues)
{
    if (!is_named_as_film(cues) || !headers(cues))
        return {};
    fs::path const beside = fs::path(cues).replace_extension(".json");
    return Error{ErrorKind::invalid_input,
                 fmt::format("{} is a film, and a cue file belongs here: give the cue file of this film, or begin one "
                             "with: tabard start {} -o {}",
                             cues.string(), shell_word(cues.string()), shell_word(beside.string()))};
}

LessonReadOptions Workspace::read_options(Charts charts)
{
    LessonReadOptions options;
    options.charts = charts;
    options.footage_rate = [this](fs::path const& footage) -> std::optional<FrameRate> {
        auto const& film = headers(footage);
        return film ? std::optional{film->video->rate} : std::nullopt;
    };
    return options;
}

Result<WrittenLesson> Workspace::on_film(LessonFile file)
{
    WrittenLesson written;
    written.file = std::move(file);
    if (written.file.reading.lesson) {
        TRY_ASSIGN(written.film, film_of(*written.file.reading.lesson));
    }
    return written;
}

Result<WrittenLesson> Workspace::read(fs::path const& cues, Charts charts)
{
    add_input(cues);
    TRY_VOID(check_no_film(cues));
    TRY_ASSIGN(auto file, read_lesson_file(cues, read_options(charts)));
    return on_film(std::move(file));
}

Result<WrittenLesson> Workspace::read_text(std::string text, fs::path const& cues, Charts charts)
{
    return on_film(lesson_file_of(std::move(text), cues, read_options(charts)));
}

Result<OpenedLesson> Workspace::open(LessonRequest const& request)
{
    TRY_ASSIGN(auto written, read(request.cues));
    TRY_VOID(check_usable(written.file));
    for (fs::path const& file : {request.through.cut, request.through.old_film, request.footage})
        add_input(file);
    if (request.may_write)
        TRY_VOID(request.may_write(m_inputs));
    if (!request.through.cut.empty())
        return see_through(std::move(written), request);
    return as_written(std::move(written), request.level);
}

Result<OpenedLesson> Workspace::see_through(WrittenLesson written, LessonRequest const& request)
{
    TRY_ASSIGN(auto cut, read_cut(request.through, written.film));
    RetimeOptions options;
    options.new_length = cut.new_length;
    if (!request.footage.empty())
        options.footage = full_path(request.footage).string();
    auto lesson = *lesson_through(written.file, facts_before(written.film, cut), cut.map, options).lesson;
    if (lesson.sections.empty())
        return Error{ErrorKind::invalid_input, fmt::format("{} keeps no part of this lesson: nothing would be shown",
                                                           request.through.cut.string())};
    KnownFilm film;
    if (request.footage.empty()) {
        film.error = Error{ErrorKind::invalid_input,
                           "through a cut this needs the film that was cut: give it with --footage NEW.mp4"};
    } else {
        TRY_ASSIGN(film, film_of(lesson));
    }
    if (!film.headers)
        film.facts = {Time{0}, cut.new_length, written.film.facts.rate};
    auto timeline = Timeline::resolve(lesson, film.facts, {request.level});
    return OpenedLesson{std::move(lesson), std::move(written.file.reading.findings), std::move(film),
                        std::move(timeline), SeenCut{std::move(cut), std::move(written.film)}};
}

bool Workspace::names_film(CutRequest const& request)
{
    return !is_cut_list(request.cut) && headers(request.cut).has_value();
}

/// A film instead of a list: what is kept is heard, or seen.
Result<CutReading> Workspace::match(CutRequest const& request, KnownFilm const& footage)
{
    auto const& old = request.old_film.empty() ? footage.path : request.old_film;
    add_input(old);
    auto const rate = footage.facts.duration > Time{0} ? footage.facts.rate : FrameRate{};
    TRY_ASSIGN(auto matched, match_cut(old, request.cut, rate, m_stop));
    CutReading reading;
    reading.map = std::move(matched.map);
    reading.new_length = matched.new_length;
    reading.remarks = std::move(matched.remarks);
    std::size_t const pieces = reading.map.spans().size();
    reading.remarks.insert(reading.remarks.begin(),
                           fmt::format("found by {}: {} piece{}, {:.0f} % of the new film comes from the old one",
                                       matched.by == Evidence::sound ? "sound" : "frames", pieces,
                                       pieces == 1 ? "" : "s", 100 * matched.kept_share));
    return reading;
}

Result<CutReading> Workspace::read_cut(CutRequest const& request, KnownFilm const& footage)
{
    add_input(request.cut);
    if (names_film(request))
        return match(request, footage);
    if (!is_cut_list(request.cut)) {
        auto const& error = headers(request.cut).error();
        if (error.kind == ErrorKind::not_found || error.kind == ErrorKind::interrupted)
            return error;
    }
    TRY_ASSIGN(auto const options, list_options(request, footage));
    return pipeline::read_cut(request.cut, options);
}

} // namespace tabard::pipeline
