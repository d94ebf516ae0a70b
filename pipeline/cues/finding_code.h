#pragma once
#include "pipeline/cues/finding.h"

#include <string>
#include <string_view>
#include <utility>

namespace tabard::pipeline {

/// What all findings of one code share, with its words for people. Every folder that makes findings offers a table of
/// its codes, so that `check --explain`, code hosts and acceptances know each of them, whoever finds it.
struct FindingCode {
    std::string_view code; ///< stable; words joined by hyphens
    Severity severity = Severity::warning;
    std::string_view title;       ///< what is wrong, in a line
    std::string_view explanation; ///< why it matters, how it is measured, how to fix it; in whole sentences

    /// A finding of this code.
    Finding at(SourcePosition place, std::optional<Time> time, std::string what, std::string fix) const
    {
        return {severity, std::string(code), place, time, std::move(what), std::move(fix)};
    }
};

} // namespace tabard::pipeline
