#include "tests/bench/options.h"

#include <algorithm>
#include <cstdio>
#include <cstdlib>

#include <fmt/format.h>

namespace tabard::tests {

namespace {

struct Reader {
    char const* word; ///< after the option

    void operator()(bool* value) const { *value = true; }
    void operator()(int* value) const { *value = std::atoi(word); }
    void operator()(double* value) const { *value = std::atof(word); }
    void operator()(std::string* value) const { *value = word; }
};

} // namespace

void read_options(int count, char** words, std::initializer_list<BenchOption> options)
{
    for (int n = 1; n < count; ++n) {
        auto const option = std::ranges::find(options, std::string_view(words[n]), &BenchOption::word);
        bool const alone = option != options.end() && std::holds_alternative<bool*>(option->value);
        if (option == options.end() || (!alone && n + 1 == count)) {
            fmt::print(stderr, "{}: what is {}?\n", words[0], words[n]);
            std::exit(2);
        }
        std::visit(Reader{alone ? words[n] : words[++n]}, option->value);
    }
}

} // namespace tabard::tests
