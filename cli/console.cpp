#include "cli/console.h"

#include <cstdio>
#include <cstdlib>

#include <fmt/format.h>
#include <unistd.h>

namespace tabard::cli {

Console::Console() : m_terminal(isatty(STDERR_FILENO) == 1)
{
    char const* no_colour = std::getenv("NO_COLOR");
    m_colours = m_terminal && (no_colour == nullptr || *no_colour == '\0');
}

void Console::error(std::string_view what) const
{
    char const* const name = m_colours ? "\033[1;31mtabard:\033[0m" : "tabard:";
    fmt::print(stderr, "{} {}\n", name, what);
}

void Console::note(std::string_view what) const
{
    if (!quiet)
        fmt::print(stderr, "{}\n", what);
}

void Console::print(std::string_view result) const { fmt::print(stdout, "{}", result); }

} // namespace tabard::cli
