#include "cli/interrupt.h"
#include "cli/program.h"
#include "cli/usage_error.h"
#include "pipeline/files/progress_line.h"
#include "pipeline/files/standard_streams.h"

#include <algorithm>
#include <clocale>
#include <cstdlib>
#include <exception>
#include <new>
#include <sstream>
#include <string>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace {

using tabard::cli::Context;
using tabard::cli::ExitCode;

/// "help render" is asked for like "render --help".
std::vector<std::string> words_of(int argc, char** argv)
{
    std::vector<std::string> words(argv + std::min(argc, 1), argv + argc);
    if (!words.empty() && words.front() == "help") {
        words.erase(words.begin());
        words.emplace_back("--help");
    }
    return words;
}

ExitCode run_command(std::vector<std::string> words, Context& context)
{
    auto const program = tabard::cli::make_program(context);
    if (words.empty()) { // a script whose variable is empty must not go on, so this is no success
        context.console.draw(program->help());
        return ExitCode::usage;
    }
    if (auto const unknown = tabard::cli::unknown_command(*program, words)) {
        context.console.error(*unknown);
        return ExitCode::usage;
    }
    try {
        std::vector<std::string> backwards(words.rbegin(), words.rend()); // as CLI11 takes them
        program->parse(backwards);
    } catch (CLI::Success const& asked) { // --help, --version
        std::ostringstream answer;
        program->exit(asked, answer, answer);
        context.console.print(answer.str());
        return ExitCode::done;
    } catch (CLI::ParseError const& wrong) {
        context.console.error(tabard::cli::usage_error(*program, words, wrong));
        return ExitCode::usage;
    }
    return context.exit;
}

ExitCode run(int argc, char** argv)
{
    Context context;
    ExitCode const code = run_command(words_of(argc, argv), context);
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
    tabard::pipeline::find_progress_descriptor();
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
