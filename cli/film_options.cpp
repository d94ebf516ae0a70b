#include "cli/film_options.h"

#include "cli/cut_options.h"
#include "cli/finding_count.h"
#include "cli/interrupt.h"
#include "cli/open_lesson.h"
#include "cli/values.h"
#include "overlay/drawing/fonts.h"
#include "pipeline/check/check_file.h"
#include "pipeline/machine/worker_pool.h"
#include "pipeline/time/timecode.h"
#include "pipeline/timeline/placement.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {

void add_film_options(CLI::App& command, FilmOptions& options)
{
    add_lesson_options(command, options.lesson);
    auto const set_level = [&options](std::string const& word) {
        options.lesson.level = word == "easy" ? pipeline::Level::easy : pipeline::Level::full;
    };
    command
        .add_option_function<std::string>("--level", set_level, "Which shape where a chord has several: easy or full")
        ->check(one_of({"easy", "full"}));
    command.add_option("--theme", options.theme,
                       "A theme of the templates by name, or a theme file; if not given the lesson's, else light or "
                       "dark cards by the picture under them");
    command.add_flag("--left-handed", options.left_handed, "Mirror the diagrams for a left-handed player");
}

Result<LessonOnFilm> load(FilmOptions const& options, pipeline::Workspace& workspace, Console const& console)
{
    pipeline::WorkerPool meanwhile(1);
    auto const fonts = meanwhile.run(overlay::find_installed_fonts);
    TRY_ASSIGN(auto opened, open_lesson(options.lesson, workspace, console));
    if (!opened.film.headers)
        return *opened.film.error;
    auto const found = say_findings(options.lesson, opened, console);
    if (options.without_chords == WithoutChords::refuse)
        TRY_VOID(pipeline::check_shows_chords(found, options.lesson.cues));
    TRY_ASSIGN(auto chosen, theme_on_film(opened.lesson, opened.timeline, &*opened.film.headers, options.theme,
                                          options.facts, workspace, interrupt_token()));
    pipeline::Look look;
    look.theme = std::move(chosen.theme);
    look.stage = pipeline::stage_of(opened.lesson);
    look.stage.left_handed = look.stage.left_handed || options.left_handed;
    return LessonOnFilm{std::move(opened), std::move(look), std::move(chosen.note)};
}

Result<pipeline::Time> parse_film_time(std::string const& text, pipeline::MediaInfo const& footage,
                                       std::string const& option)
{
    auto const time = pipeline::parse_time(text, footage.video->rate);
    if (!time)
        return Error{ErrorKind::invalid_input, fmt::format("{}: {}", option, time.error().what)};
    if (*time < pipeline::Time{})
        return Error{ErrorKind::invalid_input, fmt::format("{}: '{}' is before the film begins", option, text)};
    return *time;
}

Result<pipeline::Time> parse_picture_time(std::string const& text, pipeline::MediaInfo const& footage,
                                          std::string const& option)
{
    TRY_ASSIGN(pipeline::Time const time, parse_film_time(text, footage, option));
    pipeline::Time const end = footage.video->start + footage.video->duration;
    if (time >= end)
        return Error{ErrorKind::invalid_input, fmt::format("{}: at '{}' the film is over: it ends at {}", option, text,
                                                           pipeline::print_time(end))};
    return time;
}

} // namespace tabard::cli
