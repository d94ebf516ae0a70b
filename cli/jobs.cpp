#include "cli/interrupt.h"
#include "cli/output_options.h"
#include "cli/program.h"
#include "cli/theme_input.h"
#include "cli/values.h"
#include "pipeline/check/check_file.h"
#include "pipeline/files/file_text.h"
#include "pipeline/listen/listen_codes.h"
#include "pipeline/workspace/job_list.h"
#include "pipeline/workspace/lesson_folder.h"

#include <algorithm>
#include <iterator>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {
namespace {

namespace fs = std::filesystem;
using pipeline::FilmToMake;

struct JobOptions {
    fs::path folder;
    fs::path films;
    std::string format = "ninja";
    int shares = 4;
    fs::path output;
    bool force = false;
};

fs::path whole_path(fs::path const& path)
{
    std::error_code failed;
    fs::path const whole = fs::absolute(path, failed);
    return (failed ? path : whole).lexically_normal();
}

/// Adds what it read to `read`.
Result<FilmToMake> film_of(fs::path const& lesson, JobOptions const& options, fs::path const& program,
                           pipeline::Inputs& read)
{
    pipeline::Workspace workspace{interrupt_token()};
    auto const opened = workspace.open({lesson, {}, {}});
    read.add(workspace.inputs());
    if (!opened)
        return opened.error();
    if (opened->film.error)
        return *opened->film.error;
    TRY_VOID(pipeline::check_shows_chords(pipeline::quick_check(*opened, pipeline::listen_codes()), lesson));
    TRY_ASSIGN(auto const theme, theme_file_for(opened->lesson, ""));
    fs::path film = whole_path(options.films / lesson.lexically_relative(options.folder));
    film.replace_extension(".mp4");
    FilmToMake job{whole_path(lesson), film, {whole_path(lesson), whole_path(opened->film.path), program}};
    if (theme) {
        job.inputs.push_back(whole_path(*theme));
        read.add(*theme);
    }
    return job;
}

/// No film may take the place of what a lesson of the folder is made of, its own or another.
Result<void> check_films(std::vector<FilmToMake> const& films, pipeline::Inputs const& read)
{
    for (FilmToMake const& job : films)
        if (read.hold(job.film))
            return Error{
                ErrorKind::invalid_input,
                fmt::format("the film of '{}' would take the place of '{}', which a lesson needs: name another "
                            "folder with --to",
                            job.lesson.string(), job.film.string())};
    return {};
}

/// Gives how many lessons cannot be rendered.
Result<int> run(JobOptions const& options, Console const& console)
{
    std::error_code failed;
    fs::path const program = fs::read_symlink("/proc/self/exe", failed);
    if (failed)
        return Error{ErrorKind::io, "cannot tell where this program is: " + failed.message()};
    TRY_ASSIGN(auto const lessons, pipeline::lessons_in(options.folder));
    std::vector<FilmToMake> films, stale;
    pipeline::Inputs read;
    int wrong = 0;
    for (fs::path const& lesson : lessons) {
        TRY_VOID(check_not_interrupted());
        auto job = film_of(lesson, options, program, read);
        if (!job) {
            console.error(job.error().what);
            ++wrong;
        } else {
            films.push_back(*std::move(job));
        }
    }
    TRY_VOID(check_films(films, read));
    std::copy_if(films.begin(), films.end(), std::back_inserter(stale), pipeline::is_stale);
    TRY_ASSIGN(std::string const text,
               options.format == "ninja" ? ninja_file(program, stale) : slurm_script(program, stale, options.shares));
    if (options.output.empty())
        console.print(text);
    else
        TRY_VOID(pipeline::write_text(text, options.output, existing(options.force), read));
    if (!options.output.empty())
        console.wrote(options.output, options.format == "ninja" ? "ninja -f" : "sh");
    console.note(fmt::format("{} of {} lessons are to be rendered{}", stale.size(), lessons.size(),
                             wrong == 0 ? "" : fmt::format("; {} cannot be, see above", wrong)));
    return wrong;
}

} // namespace

void add_jobs(CLI::App& program, Context& context)
{
    auto const options = std::make_shared<JobOptions>();
    CLI::App& command =
        add_command(program, "jobs", "The films of a folder of lessons that are missing or stale, as a list of jobs",
                    {"tabard jobs lessons --to films -o build.ninja && ninja",
                     "tabard jobs lessons --to films --format slurm -o submit.sh && sh submit.sh"});
    command.add_option("FOLDER", options->folder, "Where the cue files are; folders in it count too")->required();
    command
        .add_option("--to", options->films,
                    "Where the films go, each by the name of its cue file. One is stale that is not newer than its cue "
                    "file, footage, theme and this program")
        ->required();
    command
        .add_option("--format", options->format,
                    "ninja: a build file for one machine; slurm: a script that submits jobs for many")
        ->check(one_of({"ninja", "slurm"}))
        ->capture_default_str();
    command.add_option("--shares", options->shares, "Into how many jobs Slurm divides each film")
        ->check(whole_number(1, 1000))
        ->capture_default_str();
    command.add_option("-o,--output", options->output, "Write here, not on standard output");
    command.add_flag("-f,--force", options->force, "Replace an existing file");
    command.callback([options, &context] {
        auto const wrong = run(*options, context.console);
        if (!wrong)
            context.exit = fail(context.console, wrong.error());
        else if (*wrong > 0)
            context.exit = ExitCode::findings;
    });
}

} // namespace tabard::cli
