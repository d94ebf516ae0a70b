#include "cli/open_lesson.h"

#include "pipeline/media/read/probe.h"

#include <algorithm>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {

namespace fs = std::filesystem;
using pipeline::Severity;

namespace {

/// All errors of a cue file as one: the first few lines of what `check` would print.
Error errors_of(pipeline::LessonFile const& file)
{
    constexpr int kNamed = 20;
    std::string text;
    int errors = 0;
    for (pipeline::Finding const& finding : file.reading.findings) {
        if (finding.severity != Severity::error)
            continue;
        if (errors++ < kNamed)
            text += finding_line(file.path, finding) + "\n";
    }
    text += fmt::format("{} has {} error{}; mend {} first (tabard check {})", file.path.string(), errors,
                        errors == 1 ? "" : "s", errors == 1 ? "it" : "them", file.path.string());
    return {ErrorKind::invalid_input, text};
}

/// What the cue file notes about a film that is not there.
pipeline::MediaFacts noted_facts(pipeline::Lesson const& lesson)
{
    pipeline::MediaFacts facts;
    if (!lesson.footage_facts)
        return facts;
    if (lesson.footage_facts->duration)
        facts.duration = **lesson.footage_facts->duration;
    if (lesson.footage_facts->rate)
        facts.rate = **lesson.footage_facts->rate;
    return facts;
}

struct Film {
    std::optional<pipeline::MediaInfo> info;
    std::optional<Error> error;
    pipeline::MediaFacts facts;
};

Film film_of(pipeline::Lesson const& lesson)
{
    Film film;
    film.facts = noted_facts(lesson);
    if (auto info = pipeline::probe_film(*lesson.footage)) {
        film.facts = facts_of(*info);
        film.info = *std::move(info);
    } else {
        film.error = info.error();
    }
    return film;
}

Result<OpenedLesson> seen_through(OpenedFile const& opened, LessonArguments const& arguments)
{
    TRY_ASSIGN(auto const cut, read_cut(arguments.through, old_film(opened)));
    pipeline::RetimeOptions options;
    options.new_length = cut.new_length;
    if (!arguments.footage.empty())
        options.footage = fs::absolute(arguments.footage).string();
    auto reading = pipeline::lesson_through(opened.file, opened.facts, cut.map, options);
    OpenedLesson result;
    result.lesson = *std::move(reading.lesson);
    Film film;
    if (!arguments.footage.empty())
        film = film_of(result.lesson);
    else
        film.error = Error{ErrorKind::invalid_input,
                           "through a cut this needs the film that was cut: give it with --footage NEW.mp4"};
    if (!film.info)
        film.facts = {pipeline::Time{0}, cut.new_length, opened.facts.rate};
    result.film = std::move(film.info);
    result.film_error = std::move(film.error);
    result.facts = film.facts;
    return result;
}

} // namespace

void add_lesson_options(CLI::App& command, LessonArguments& arguments)
{
    command.add_option("CUES", arguments.cues, "the cue file")->required();
    add_cut_options(command, "--through", "look at the lesson through this cut: an edit list (.edl, .otio, .csv)",
                    arguments.through);
    command.add_option("--footage", arguments.footage, "the film after that cut")->group("How the film was cut again");
}

Result<OpenedFile> open_lesson_file(fs::path const& cues)
{
    pipeline::LessonReadOptions options;
    options.footage_rate = [](fs::path const& footage) -> std::optional<pipeline::FrameRate> {
        auto const info = pipeline::probe_film(footage);
        return info ? std::optional{info->video->rate} : std::nullopt;
    };
    TRY_ASSIGN(auto file, pipeline::read_lesson_file(cues, options));
    if (!file.reading.usable())
        return errors_of(file);
    Film film = film_of(*file.reading.lesson);
    return OpenedFile{std::move(file), std::move(film.info), std::move(film.error), film.facts};
}

OldFilm old_film(OpenedFile const& opened)
{
    OldFilm old{*opened.file.reading.lesson->footage, std::nullopt, std::nullopt, {}};
    if (opened.facts.duration > pipeline::Time{0}) {
        old.rate = opened.facts.rate;
        old.length = opened.facts.duration;
    }
    if (opened.film)
        old.first_label = opened.film->video->first_label;
    return old;
}

Result<void> check_may_write(fs::path const& file, bool force)
{
    if (file.empty() || force || !fs::exists(file))
        return {};
    return Error{ErrorKind::invalid_input,
                 fmt::format("{} is there already; name another file, or add --force to replace it", file.string())};
}

Result<OpenedLesson> open_lesson(LessonArguments const& arguments)
{
    TRY_ASSIGN(auto opened, open_lesson_file(arguments.cues));
    if (!arguments.through.cut.empty()) {
        TRY_ASSIGN(OpenedLesson result, seen_through(opened, arguments));
        result.findings = std::move(opened.file.reading.findings);
        return result;
    }
    return OpenedLesson{*std::move(opened.file.reading.lesson), std::move(opened.file.reading.findings),
                        std::move(opened.film), std::move(opened.film_error), opened.facts};
}

pipeline::MediaFacts facts_of(pipeline::MediaInfo const& film)
{
    return {film.video->start, film.video->start + film.video->duration, film.video->rate};
}

std::string finding_line(fs::path const& file, pipeline::Finding const& finding)
{
    auto const text = finding.what + (finding.mend.empty() ? "" : "; ") + finding.mend;
    return fmt::format("{}:{}:{}: {}: {} [{}]", file.string(), finding.at.line, finding.at.column,
                       severity_name(finding.severity), pipeline::on_one_line(text), finding.code);
}

std::string name_beside(fs::path const& file, fs::path const& other)
{
    std::error_code failed;
    fs::path const folder = fs::absolute(other, failed).parent_path();
    fs::path const relative = fs::proximate(fs::absolute(file, failed), folder, failed);
    return failed ? file.string() : relative.string();
}

} // namespace tabard::cli
