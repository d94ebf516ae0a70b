#include "cli/console.h"

#include "cli/terminal_text.h"
#include "pipeline/files/standard_streams.h"

#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cstring>

#include <fmt/format.h>
#include <unistd.h>

namespace tabard::cli {
namespace {

/// Not fmt::print: that throws where it cannot write.
bool put(std::FILE* stream, std::string_view text)
{
    return std::fwrite(text.data(), 1, text.size(), stream) == text.size();
}

} // namespace

Console::Console() : m_terminal(isatty(STDERR_FILENO) == 1), m_terminal_out(isatty(STDOUT_FILENO) == 1)
{
    char const* no_colour = std::getenv("NO_COLOR");
    m_colours_wanted = no_colour == nullptr || *no_colour == '\0';
    m_colours = m_terminal && m_colours_wanted;
}

void Console::error(std::string_view what) const
{
    char const* const name = m_colours ? "\033[1;31mtabard:\033[0m" : "tabard:";
    draw(fmt::format("{} {}\n", name, terminal_text(what)));
}

void Console::wrote(std::filesystem::path const& file, std::string_view next) const
{
    std::string const word = shell_word(file.string());
    note(next.empty() ? fmt::format("Wrote {}.", word) : fmt::format("Wrote {0}. Next: {1} {0}", word, next));
}

void Console::offer_undo(std::filesystem::path const& file) const
{
    note(fmt::format("To take this back: tabard undo {}", shell_word(file.string())));
}

void Console::note(std::string_view what) const
{
    if (!quiet)
        draw(terminal_text(what) + "\n");
}

void Console::print(std::string_view result) const
{
    show(m_terminal_out ? terminal_text(result) : std::string{result});
}

void Console::show(std::string_view ours) const
{
    if (!put(stdout, ours) && m_failure == 0)
        m_failure = errno;
}

std::optional<std::size_t> Console::result_columns() const
{
    constexpr std::size_t kUsual = 80;
    if (!m_terminal_out)
        return std::nullopt;
    if (std::size_t const said = pipeline::output_columns(); said > 0)
        return said;
    char const* columns = std::getenv("COLUMNS");
    auto const number = columns ? std::strtoul(columns, nullptr, 10) : 0;
    return number > 0 && number < 10'000 ? number : kUsual;
}

void Console::draw(std::string_view ours) const { put(stderr, ours); }

Result<void> Console::finish() const
{
    if (std::fflush(stdout) != 0 && m_failure == 0)
        m_failure = errno;
    if (m_failure == 0)
        return {};
    return Error{ErrorKind::io, fmt::format("cannot write to standard output: {}", std::strerror(m_failure))};
}

} // namespace tabard::cli
