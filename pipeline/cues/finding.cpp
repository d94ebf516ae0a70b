#include "pipeline/cues/finding.h"

#include <algorithm>

namespace tabard::pipeline {

std::string_view severity_name(Severity severity)
{
    switch (severity) {
    case Severity::error:
        return "error";
    case Severity::warning:
        return "warning";
    case Severity::advice:
        return "advice";
    }
    return "";
}

std::string on_one_line(std::string text)
{
    std::ranges::replace_if(
        text, [](char c) { return c == '\n' || c == '\r' || c == '\t'; }, ' ');
    return text;
}

} // namespace tabard::pipeline
