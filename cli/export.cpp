#include "cli/cut_options.h"
#include "cli/interrupt.h"
#include "cli/open_lesson.h"
#include "cli/output_options.h"
#include "cli/program.h"
#include "cli/values.h"
#include "pipeline/workspace/export_job.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {

namespace {

namespace fs = std::filesystem;

struct ExportArguments {
    pipeline::LessonRequest lesson;
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

Result<void> export_lesson(ExportArguments const& arguments, Console const& console)
{
    pipeline::Workspace workspace{interrupt_token()};
    pipeline::LessonRequest request = arguments.lesson;
    request.may_write = may_write(arguments.output, arguments.force);
    TRY_ASSIGN(auto const opened, open_lesson(request, workspace, console));
    TRY_ASSIGN(auto const job, pipeline::export_job(opened));
    TRY_VOID(check_not_interrupted());
    auto const exported = writer_for(arguments.format)(job);
    for (std::string const& remark : exported.remarks)
        console.note("note: " + remark);
    if (arguments.output.empty()) {
        console.print(exported.text);
        return {};
    }
    TRY_VOID(pipeline::write_text(exported.text, arguments.output, existing(arguments.force), workspace.inputs()));
    console.wrote(arguments.output);
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
    command.add_option("--to", arguments->format, "edl (comments), otio (clips and markers), csv or vtt (the chords)")
        ->required()
        ->check(one_of({"edl", "otio", "csv", "vtt"}));
    command.add_option("-o,--output", arguments->output, "the file to write (default: standard output)");
    command.add_flag("-f,--force", arguments->force, "replace the file if it is there");
    command.callback([arguments, &context] {
        if (auto const done = export_lesson(*arguments, context.console); !done)
            context.exit = fail(context.console, done.error());
    });
}

} // namespace tabard::cli
