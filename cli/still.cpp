#include "pipeline/render/still.h"

#include "cli/command.h"
#include "cli/film_options.h"
#include "cli/interrupt.h"
#include "cli/output_options.h"
#include "cli/terminal_text.h"
#include "cli/values.h"
#include "overlay/drawing/png.h"
#include "pipeline/time/timecode.h"

#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {
namespace {

struct StillOptions {
    FilmOptions film;
    std::string at;
    std::string output;
    bool force = false;
};

Result<void> run(StillOptions const& options, Console const& console)
{
    std::stop_token const stop = interrupt_token();
    pipeline::Workspace workspace{stop};
    FilmOptions film = options.film;
    film.lesson.may_write = may_write(options.output, options.force);
    TRY_ASSIGN(LessonOnFilm const lesson, load(film, workspace, console));
    pipeline::Time const at = option_value(parse_picture_time(options.at, lesson.film(), "--at"));
    TRY_ASSIGN(auto file, pipeline::OutputFile::create(options.output, existing(options.force), workspace.inputs()));
    TRY_ASSIGN(pipeline::Still const still,
               pipeline::render_still(lesson.film().path, at, pipeline::SceneRuns::of(lesson.opened.timeline),
                                      lesson.look, stop));
    TRY_ASSIGN(auto const png, overlay::encode_png(still.picture));
    TRY_VOID(file.write(png));
    TRY_VOID(file.commit());
    console.note(fmt::format("Wrote {}: {} x {}, the frame at {}", shell_word(options.output), still.picture.at.width,
                             still.picture.at.height, pipeline::print_time(still.time)));
    return {};
}

} // namespace

void add_still(CLI::App& program, Context& context)
{
    auto const options = std::make_shared<StillOptions>();
    CLI::App& command = add_command(program, "still", "One frame of the film with its overlays, as PNG",
                                    {"tabard still lesson.json --at 1:02 -o picture.png",
                                     "tabard still lesson.json --at 0:14.2 --theme dark_card -o picture.png"});
    add_film_options(command, options->film);
    command.add_option("--at", options->at, "The time in the film: 1:02.5, or 0:01:02:12 with frames")->required();
    command.add_option("-o,--output", options->output, "The PNG file to write")
        ->required()
        ->check(name_with_ending({".png"}, "a still"));
    command.add_flag("-f,--force", options->force, "Replace an existing file");
    command.callback([options, &context] {
        if (auto const done = run(*options, context.console); !done)
            context.exit = fail(context.console, done.error());
    });
}

} // namespace tabard::cli
