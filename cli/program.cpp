#include "cli/program.h"

#include "cli/help.h"

#include <CLI/CLI.hpp>

namespace tabard::cli {
namespace {

/// A value that is empty (a variable of a script that was not set) is no file, no theme and no time: the mistake is
/// said where it was made, and not taken for an option that was left out.
void refuse_empty_values(CLI::App& program)
{
    auto const refuse = [](std::string const& value) {
        return value.empty() ? std::string{"needs a value that is not empty"} : std::string{};
    };
    for (CLI::App* command : program.get_subcommands({}))
        for (CLI::Option* option : command->get_options())
            if (option->get_expected_min() > 0)
                option->check(refuse);
}

} // namespace

std::unique_ptr<CLI::App> make_program(Context& context)
{
    auto program = std::make_unique<CLI::App>(
        "Chord diagrams, capo, strums and part titles onto a filmed guitar lesson, from one cue file.", "tabard");
    program->formatter(std::make_shared<HelpFormatter>());
    program->footer("Examples:\n  tabard start lesson.mp4 -o lesson.json\n  tabard render lesson.json -o film.mp4\n");
    program->require_subcommand(1);
    program->set_version_flag("--version", "tabard " TABARD_VERSION, "Print the version");
    program->set_help_flag("-h,--help", "Print this help");
    program->add_flag("-q,--quiet", context.console.quiet, "Print errors only");

    add_start(*program, context);
    add_desk(*program, context);
    add_render(*program, context);
    add_still(*program, context);
    add_sheet(*program, context);
    add_check(*program, context);
    add_listen(*program, context);
    add_publish(*program, context);
    add_retime(*program, context);
    add_transpose(*program, context);
    add_export(*program, context);
    add_chord(*program, context);
    add_jobs(*program, context);
    add_cache(*program, context);
    add_undo(*program, context);
    add_completion(*program, context);
    add_manual(*program, context);
    refuse_empty_values(*program);
    return program;
}

} // namespace tabard::cli
