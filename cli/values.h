#pragma once
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <CLI/CLI.hpp>

namespace tabard::cli {

/// "cannot be 'xml'; write gnu, json or sarif": what the usage error of an option says after its name.
std::string not_one_of(std::string_view value, std::span<std::string const> words);

/// Allows these words alone. Help and completions list them.
CLI::Validator one_of(std::vector<std::string> words);

/// Allows whole numbers in this range, both ends included.
CLI::Validator whole_number(int least, int most);

/// The words that an option takes, where there is a list of them.
std::vector<std::string> words_of(CLI::Option const& option);

} // namespace tabard::cli
