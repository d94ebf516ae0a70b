#include "pipeline/retime/export.h"

#include "cli/open_lesson.h"
#include "cli/program.h"
#include "pipeline/files/file_text.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {

namespace {

namespace fs = std::filesystem;

struct ExportArguments {
    LessonArguments lesson;
    std::string format;
    fs::path output;
    bool force = false;
};

using Writer = pipeline::Exported (*)(pipeline::ExportJob const&);

Writer writer_for(std::string const& format)
{
    if (format == "edl")
        return pipeline::export_edl;
    if (format == "otio")
        return pipeline::export_otio;
    return format == "csv" ? pipeline::export_csv : pipeline::export_vtt;
}

/// The lesson over the film as it is, or as it was cut.
Result<pipeline::ExportJob> job_of(ExportArguments const& arguments)
{
    TRY_ASSIGN(auto const before, open_lesson_file(arguments.lesson.cues));
    TRY_ASSIGN(auto const opened, open_lesson(arguments.lesson));
    if (opened.facts.duration <= pipeline::Time{0})
        return before.film_error.value_or(Error{ErrorKind::invalid_input, "the length of the film is not known"});
    pipeline::ExportJob job;
    job.title = *opened.lesson.title;
    job.footage = fs::absolute(*before.file.reading.lesson->footage).lexically_normal().string();
    job.rate = opened.facts.rate;
    OldFilm const film = old_film(before);
    job.footage_label = film.first_label;
    job.footage_length = film.length.value_or(pipeline::Time{0});
    job.length = opened.facts.duration;
    if (arguments.lesson.through.cut.empty()) {
        job.cut = pipeline::EditMap::identity(job.length);
    } else {
        TRY_ASSIGN(auto const cut, read_cut(arguments.lesson.through, film));
        job.cut = cut.map;
        job.length = cut.new_length;
    }
    auto const timeline = pipeline::Timeline::resolve(opened.lesson, opened.facts);
    job.cues = pipeline::export_cues(opened.lesson, timeline);
    return job;
}

Result<void> export_lesson(ExportArguments const& arguments, Console const& console)
{
    TRY_VOID(check_may_write(arguments.output, arguments.force));
    TRY_ASSIGN(auto const job, job_of(arguments));
    auto const exported = writer_for(arguments.format)(job);
    for (std::string const& remark : exported.remarks)
        console.note("note: " + remark);
    if (arguments.output.empty())
        console.print(exported.text);
    else
        TRY_VOID(pipeline::write_file_text(exported.text, arguments.output));
    return {};
}

} // namespace

void add_export(CLI::App& program, Context& context)
{
    auto arguments = std::make_shared<ExportArguments>();
    CLI::App& command = add_command(program, "export", "Give the cues to an editing program",
                                    {"tabard export lesson.json --to otio -o lesson.otio",
                                     "tabard export lesson.json --through cut.edl --to vtt -o chords.vtt"});
    add_lesson_options(command, arguments->lesson);
    command.add_option("--to", arguments->format, "edl (markers), otio (clips and markers), csv or vtt (the chords)")
        ->required()
        ->check(CLI::IsMember({"edl", "otio", "csv", "vtt"}));
    command.add_option("-o,--output", arguments->output, "the file to write (default: standard output)");
    command.add_flag("-f,--force", arguments->force, "replace the file if it is there");
    command.callback([arguments, &context] {
        if (auto const done = export_lesson(*arguments, context.console); !done)
            context.exit = fail(context.console, done.error());
    });
}

} // namespace tabard::cli
