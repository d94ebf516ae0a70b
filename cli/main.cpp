#include "cli/interrupt.h"
#include "cli/program.h"
#include "pipeline/files/standard_streams.h"

#include <clocale>
#include <cstdlib>
#include <exception>
#include <new>
#include <sstream>
#include <string>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace {

using tabard::cli::Context;
using tabard::cli::ExitCode;

/// The first word that names no option, if it names no command either. CLI11 alone would say "a subcommand is
/// required".
std::string unknown_command(CLI::App& program, int argc, char** argv)
{
    for (int i = 1; i < argc; ++i) {
        if (argv[i][0] == '-')
            continue;
        auto const commands = program.get_subcommands([&](CLI::App* command) { return command->check_name(argv[i]); });
        return commands.empty() ? argv[i] : "";
    }
    return "";
}

ExitCode run_command(int argc, char** argv, Context& context)
{
    auto const program = tabard::cli::make_program(context);
    if (std::string const name = unknown_command(*program, argc, argv); !name.empty()) {
        context.console.error(fmt::format("there is no command '{}'. 'tabard --help' lists them.", name));
        return ExitCode::usage;
    }
    try {
        program->parse(argc, argv);
    } catch (CLI::Success const& asked) { // --help, --version
        std::ostringstream answer;
        program->exit(asked, answer, answer);
        context.console.print(answer.str());
        return ExitCode::done;
    } catch (CLI::ParseError const& wrong) {
        context.console.error(fmt::format("{}\nTry 'tabard --help', or 'tabard COMMAND --help'.", wrong.what()));
        return ExitCode::usage;
    }
    return context.exit;
}

ExitCode run(int argc, char** argv)
{
    Context context;
    ExitCode const code = run_command(argc, argv, context);
    if (auto const printed = context.console.finish(); !printed)
        return tabard::cli::fail(context.console, printed.error());
    return code;
}

} // namespace

int main(int argc, char** argv)
{
    // SVT-AV1 prints its settings to stderr unless its own variable says errors only. Here, where no thread runs yet
    // that could read the environment.
    ::setenv("SVT_LOG", "1", 0);
    tabard::pipeline::fill_closed_standard_streams();
    tabard::cli::watch_signals();
    std::setlocale(LC_CTYPE, ""); // file names and terminal text; numbers stay in the C locale
    try {
        return static_cast<int>(run(argc, argv));
    } catch (std::bad_alloc const&) {
        tabard::cli::Console{}.error("out of memory");
    } catch (std::exception const& bug) {
        tabard::cli::Console{}.error(fmt::format("unexpected error: {}", bug.what()));
    }
    return static_cast<int>(ExitCode::work);
}
