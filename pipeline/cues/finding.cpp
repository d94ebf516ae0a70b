#include "pipeline/cues/finding.h"

#include "overlay/base/utf8.h"

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

std::string on_one_line(std::string text) { return tabard::on_one_line(text); }

} // namespace tabard::pipeline
