#include "cli/command.h"

#include "cli/interrupt.h"

#include <csignal>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::cli {

ExitCode exit_code(ErrorKind kind)
{
    switch (kind) {
    case ErrorKind::invalid_input:
    case ErrorKind::not_found:
    case ErrorKind::unsupported:
    case ErrorKind::decode:
        return ExitCode::input;
    case ErrorKind::io:
        return ExitCode::work;
    case ErrorKind::interrupted:
        return interrupting_signal() == SIGHUP ? ExitCode::hung_up : ExitCode::interrupted;
    }
    return ExitCode::work;
}

CLI::App& add_command(CLI::App& program, std::string const& name, std::string const& summary,
                      std::vector<std::string> const& examples)
{
    CLI::App& command = *program.add_subcommand(name, summary);
    command.footer(fmt::format("Examples:\n  {}\n", fmt::join(examples, "\n  ")));
    command.fallthrough();
    return command;
}

ExitCode fail(Console const& console, Error const& error)
{
    console.error(error.what);
    return exit_code(error.kind);
}

} // namespace tabard::cli
