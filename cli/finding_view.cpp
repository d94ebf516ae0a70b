#include "cli/finding_view.h"

#include "cli/terminal_text.h"
#include "overlay/base/characters.h"
#include "overlay/base/utf8.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <cwchar>

#include <fmt/format.h>

namespace tabard::cli {
namespace {

using pipeline::Finding;
using pipeline::Severity;

constexpr std::size_t kIndent = 4;

/// Columns of a terminal that a safe text takes: two for the wide signs of East Asian scripts and emoji.
std::size_t columns_of(std::string_view text)
{
    std::size_t columns = 0;
    while (!text.empty()) {
        std::size_t const length = std::max<std::size_t>(utf8_length(text), 1);
        int const width = utf8_length(text) > 0 ? wcwidth(static_cast<wchar_t>(utf8_code_point(text))) : 1;
        columns += width < 0 ? 1U : static_cast<std::size_t>(width);
        text.remove_prefix(length);
    }
    return columns;
}

std::string painted(std::string_view text, char const* colour, TerminalLook look)
{
    return look.colours ? fmt::format("\033[{}m{}\033[0m", colour, text) : std::string(text);
}

char const* colour_of(Severity severity)
{
    switch (severity) {
    case Severity::error:
        return "1;31";
    case Severity::warning:
        return "1;35";
    case Severity::advice:
        return "1;36";
    }
    return "1";
}

/// Words set in lines of at most `columns`, each but the first behind `kIndent` blanks. `column`: where the first word
/// would stand. A word that is wider than a line has one of its own.
std::string wrapped(std::string_view text, std::size_t column, std::size_t columns)
{
    std::string out;
    bool first = column <= kIndent;
    while (!text.empty()) {
        std::string_view const word = text.substr(0, text.find(' '));
        std::size_t const width = columns_of(word);
        if (!first && column + 1 + width > columns) {
            out += "\n" + std::string(kIndent, ' ');
            column = kIndent;
        } else if (!first) {
            out += ' ';
            ++column;
        }
        out += word;
        column += width;
        first = false;
        text.remove_prefix(std::min(text.size(), word.size() + 1));
    }
    return out;
}

std::string_view line_of(std::string_view text, int number)
{
    for (int line = 1; line < number; ++line) {
        std::size_t const end = text.find('\n');
        if (end == std::string_view::npos)
            return {};
        text.remove_prefix(end + 1);
    }
    text = text.substr(0, text.find('\n'));
    return text.ends_with('\r') ? text.substr(0, text.size() - 1) : text;
}

/// Safe, and with one column for a tab, so that what stands below stays below.
std::string shown(std::string_view text)
{
    std::string safe = terminal_text(text);
    std::ranges::replace(safe, '\t', ' ');
    return safe;
}

/// Drops signs from the front until the text takes at most `columns`.
std::string_view last_columns(std::string_view text, std::size_t columns)
{
    for (std::size_t wide = columns_of(text); wide > columns;) {
        std::size_t const length = std::max<std::size_t>(utf8_length(text), 1);
        wide -= columns_of(text.substr(0, length));
        text.remove_prefix(length);
    }
    return text;
}

std::string_view first_columns(std::string_view text, std::size_t columns)
{
    std::size_t end = 0;
    for (std::size_t used = 0; end < text.size();) {
        std::size_t const length = std::max<std::size_t>(utf8_length(text.substr(end)), 1);
        used += columns_of(text.substr(end, length));
        if (used > columns)
            break;
        end += length;
    }
    return text.substr(0, end);
}

/// The line with a mark below the place; of a long line what stands around it.
std::string source_view(std::string_view text, Finding const& finding, TerminalLook look)
{
    std::string_view const line = line_of(without_byte_order_mark(text), finding.at.line);
    auto const column = static_cast<std::size_t>(std::max(finding.at.column, 1));
    if (finding.at.line < 1 || column > line.size() + 1 || line.empty())
        return "";
    std::string const number = fmt::format("{:>{}} | ", finding.at.line, kIndent);
    std::size_t const room = std::max<std::size_t>(look.columns, 40) - number.size() - 2; // two for what is cut off
    std::string const before = shown(line.substr(0, column - 1));
    std::string_view const begin = last_columns(before, room * 2 / 3);
    std::string const after = shown(line.substr(column - 1));
    std::string_view const end = first_columns(after, room - columns_of(begin));
    bool const cut = begin.size() < before.size();
    std::size_t const mark = number.size() + columns_of(begin) + (cut ? 1 : 0);
    return fmt::format("{}{}{}{}{}\n{}{}\n", number, cut ? "\u2026" : "", begin, end,
                       end.size() < after.size() ? "\u2026" : "", std::string(mark, ' '),
                       painted("^", colour_of(finding.severity), look));
}

} // namespace

std::string finding_view(std::filesystem::path const& file, std::string_view text, Finding const& finding, int more,
                         TerminalLook look)
{
    std::string const place =
        terminal_text(fmt::format("{}:{}:{}:", file.string(), finding.at.line, finding.at.column));
    std::string const severity = fmt::format("{}:", severity_name(finding.severity));
    std::string what = finding.time ? fmt::format("at {}: ", pipeline::print_time(*finding.time, 1)) : "";
    what += terminal_text(pipeline::on_one_line(finding.what));
    if (more > 0)
        what += fmt::format(" (and {} more like it)", more);
    std::string fix = terminal_text(pipeline::on_one_line(finding.fix));
    fix += fmt::format("{}[{}]", fix.empty() ? "" : " ", finding.code);
    std::size_t const begun = columns_of(place) + 1 + severity.size();
    return fmt::format("{} {}{}\n{}{}{}\n", painted(place, "1", look),
                       painted(severity, colour_of(finding.severity), look), wrapped(what, begun, look.columns),
                       source_view(text, finding, look), std::string(kIndent, ' '),
                       wrapped(fix, kIndent, look.columns));
}

} // namespace tabard::cli
