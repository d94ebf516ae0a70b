#pragma once
#include <optional>
#include <string>
#include <vector>

namespace CLI {
class App;
class ParseError;
} // namespace CLI

namespace tabard::cli {

/// What is wrong with a command line and what to do, for a person: one sentence, and a line that says where more help
/// is. `words` are those after the program's name.
std::string usage_error(CLI::App& program, std::vector<std::string> const& words, CLI::ParseError const& wrong);

/// The same for a first word that names no command; none where it names one, or where there is none.
std::optional<std::string> unknown_command(CLI::App& program, std::vector<std::string> const& words);

} // namespace tabard::cli
