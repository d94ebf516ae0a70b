#include "cli/film_options.h"

#include "cli/theme_input.h"
#include "pipeline/time/timecode.h"
#include "pipeline/timeline/placement.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {

void add_film_options(CLI::App& command, FilmOptions& options)
{
    add_lesson_options(command, options.lesson);
    command.add_option("--level", options.level, "Which shape where a chord has several: easy or full")
        ->check(CLI::IsMember({"easy", "full"}));
    command.add_option("--theme", options.theme, "A theme of the templates by name, or a theme file");
    command.add_flag("--left-handed", options.left_handed, "Mirror the diagrams for a left-handed player");
}

Result<LessonOnFootage> load(FilmOptions const& options, Console const& console)
{
    TRY_ASSIGN(OpenedLesson opened, open_lesson(options.lesson));
    if (!opened.film)
        return *opened.film_error;
    if (!opened.findings.empty())
        console.note(fmt::format("{0}: {1} warning{2}; 'tabard check {0}' lists them", options.lesson.cues.string(),
                                 opened.findings.size(), opened.findings.size() == 1 ? "" : "s"));
    auto const level = options.level == "easy" ? pipeline::Level::easy : pipeline::Level::full;
    auto timeline = pipeline::Timeline::resolve(opened.lesson, opened.facts, {level});

    pipeline::Look look;
    std::string const& theme = options.theme.empty() ? *opened.lesson.theme : options.theme;
    TRY_ASSIGN(look.theme, load_theme(theme, options.theme.empty() ? opened.lesson.file.parent_path() : ""));
    look.strings = opened.lesson.tuning->strings();
    look.left_handed = options.left_handed || *opened.lesson.left_handed;
    look.corner = pipeline::corner_of(*opened.lesson.placement);
    look.capo = *opened.lesson.capo;
    return LessonOnFootage{std::move(opened.lesson), *std::move(opened.film), std::move(timeline), std::move(look)};
}

Result<pipeline::Time> parse_film_time(std::string const& text, pipeline::MediaInfo const& footage,
                                       std::string const& option)
{
    auto const time = pipeline::parse_time(text, footage.video->rate);
    if (!time)
        return Error{ErrorKind::invalid_input, fmt::format("{}: {}", option, time.error().what)};
    return *time;
}

} // namespace tabard::cli
