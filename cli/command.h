#pragma once
#include "cli/console.h"

#include <string>
#include <vector>

namespace CLI {
class App;
}

/// The commands. Each has a file of its own with one function that adds it to the program: its options, its examples,
/// and what runs when it is called. A command parses and prints; what it does is a call into pipeline/.
///
///     void add_check(CLI::App& program, Context& context)
///     {
///         auto options = std::make_shared<CheckOptions>();
///         CLI::App& command = add_command(program, "check", "Say what would embarrass you", {"tabard check
///         lesson.json"}); command.add_option("CUES", options->cues, "the cue file")->required();
///         command.callback([options, &context] { context.exit = run(*options, context.console); });
///     }
///
/// and a line in commands.cpp. Help, man page and shell completions come from these options.
namespace tabard::cli {

/// What the process says to whoever called it.
enum class ExitCode {
    done = 0,
    findings = 1,     ///< the answer is no: findings of error severity
    usage = 2,        ///< the command line is wrong
    input = 3,        ///< an input cannot be read or understood
    work = 4,         ///< the work itself failed: disk, encoder
    hung_up = 129,    ///< stopped, because the terminal went away
    interrupted = 130 ///< stopped: Ctrl-C, or asked to end
};

/// The exit code for an error: one for each reaction of a caller.
ExitCode exit_code(ErrorKind kind);

/// Shared by all commands of one run.
struct Context {
    Console console;
    ExitCode exit = ExitCode::done;
};

/// Adds a command with its one-line summary and the examples its help starts with.
CLI::App& add_command(CLI::App& program, std::string const& name, std::string const& summary,
                      std::vector<std::string> const& examples);

/// Prints `error` on the console and gives its exit code: the last line of a command that failed.
ExitCode fail(Console const& console, Error const& error);

} // namespace tabard::cli
