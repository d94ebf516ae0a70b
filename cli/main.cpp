#include "cli/program.h"

#include <clocale>
#include <cstdio>
#include <exception>
#include <new>
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

ExitCode run(int argc, char** argv)
{
    Context context;
    auto const program = tabard::cli::make_program(context);
    if (std::string const name = unknown_command(*program, argc, argv); !name.empty()) {
        context.console.error(fmt::format("there is no command '{}'. 'tabard --help' lists them.", name));
        return ExitCode::usage;
    }
    try {
        program->parse(argc, argv);
    } catch (CLI::Success const& asked) { // --help, --version
        program->exit(asked);
        return ExitCode::done;
    } catch (CLI::ParseError const& wrong) {
        context.console.error(fmt::format("{}\nTry 'tabard --help', or 'tabard COMMAND --help'.", wrong.what()));
        return ExitCode::usage;
    }
    return context.exit;
}

} // namespace

int main(int argc, char** argv)
{
    std::setlocale(LC_CTYPE, ""); // file names and terminal text; numbers stay in the C locale
    try {
        ExitCode const code = run(argc, argv);
        if (std::fflush(stdout) != 0) {
            fmt::print(stderr, "tabard: cannot write to standard output\n");
            return static_cast<int>(ExitCode::work);
        }
        return static_cast<int>(code);
    } catch (std::bad_alloc const&) {
        fmt::print(stderr, "tabard: out of memory\n");
    } catch (std::exception const& bug) {
        fmt::print(stderr, "tabard: unexpected error: {}\n", bug.what());
    }
    return static_cast<int>(ExitCode::work);
}
