#include "pipeline/cues/finding.h"

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

} // namespace tabard::pipeline
