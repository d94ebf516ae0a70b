#include "pipeline/check/formats.h"

#include "pipeline/cues/finding_line.h"

#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::pipeline {
namespace {

std::string counted(int count, std::string_view one, std::string_view many)
{
    return fmt::format("{} {}", count, count == 1 ? one : many);
}

/// Words at most `width` a line.
std::string wrapped(std::string_view text, std::size_t width)
{
    std::string out;
    std::size_t column = 0;
    while (!text.empty()) {
        std::string_view const word = text.substr(0, text.find(' '));
        if (column > 0 && column + 1 + word.size() > width) {
            out += '\n';
            column = 0;
        } else if (column > 0) {
            out += ' ';
            ++column;
        }
        out += word;
        column += word.size();
        text.remove_prefix(std::min(text.size(), word.size() + 1));
    }
    return out;
}

} // namespace

std::string gnu_text(CheckResult const& result, std::filesystem::path const& file)
{
    std::string out;
    for (FoldedFinding const& folded : result.findings)
        out += finding_line(file, folded.finding, folded.more) + "\n";
    return out;
}

std::string summary_text(CheckResult const& result)
{
    std::vector<std::string> parts;
    if (result.errors > 0)
        parts.push_back(counted(result.errors, "error", "errors"));
    if (result.warnings > 0)
        parts.push_back(counted(result.warnings, "warning", "warnings"));
    if (result.advice > 0)
        parts.push_back(counted(result.advice, "piece of advice", "pieces of advice"));
    std::string text = parts.empty() ? "No problems found" : fmt::format("{}", fmt::join(parts, ", "));
    if (!result.accepted.empty())
        text += fmt::format(" ({} accepted)", result.accepted.size());
    return text + (parts.empty() ? "." : "");
}

std::string explanation_text(FindingCode const& code)
{
    return fmt::format("{} ({})\n{}.\n\n{}\n", code.code, severity_name(code.severity), code.title,
                       wrapped(code.explanation, 78));
}

} // namespace tabard::pipeline
