#pragma once
#include "overlay/base/result.h"

#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>

namespace tabard::cli {

/// "cannot be 'xml'; write gnu, json or sarif": what the usage error of an option says after its name.
std::string not_one_of(std::string_view value, std::span<std::string const> words);

/// Allows these words alone. Help and completions list them.
CLI::Validator one_of(std::vector<std::string> words);

/// Allows whole numbers in this range, both ends included.
CLI::Validator whole_number(int least, int most);

/// Allows names of files that end so, in small or capital letters, and names without an ending. `what`: "a cue file".
CLI::Validator name_with_ending(std::vector<std::string> endings, std::string what);

/// Ends the command as CLI11 does for a wrong value: with `what`, and the exit code for a wrong command line.
[[noreturn]] void refuse_command_line(std::string const& what);

/// The value of an option; where it is none, the command ends as above.
template <class T>
T option_value(Result<T> value)
{
    if (!value)
        refuse_command_line(value.error().what);
    return *std::move(value);
}

inline void option_value(Result<void> const& value)
{
    if (!value)
        refuse_command_line(value.error().what);
}

/// The words that an option takes, where there is a list of them.
std::vector<std::string> words_of(CLI::Option const& option);

} // namespace tabard::cli
