#pragma once
#include <initializer_list>
#include <string>
#include <string_view>
#include <variant>

namespace tabard::tests {

/// A word on the command line of a program that measures, and where its value goes. A bool takes no value: it is set.
struct BenchOption {
    std::string_view word;
    std::variant<bool*, int*, double*, std::string*> value;
};

/// Reads the words after the program's name. A word that is none of the options, or an option without its value, ends
/// the program with exit code 2.
void read_options(int count, char** words, std::initializer_list<BenchOption> options);

} // namespace tabard::tests
