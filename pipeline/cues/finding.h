#pragma once
#include "pipeline/cues/source_position.h"
#include "pipeline/time/time.h"

#include <optional>
#include <string>
#include <string_view>

namespace tabard::pipeline {

enum class Severity { error, warning, advice };
std::string_view severity_name(Severity severity); ///< "error", "warning", "advice"

/// Something the author should know. It never stops the run that finds it.
struct Finding {
    Severity severity = Severity::error;
    std::string code;         ///< stable, in words: "beats-in-bar"
    SourcePosition at;        ///< in the cue file
    std::optional<Time> time; ///< in the film, where there is such an instant
    std::string what;         ///< one sentence: what is wrong
    std::string fix;          ///< one sentence: how to fix it; may be empty
    friend bool operator==(Finding const&, Finding const&) = default;
};

/// A message without the line ends and tabs that names of the author's may hold: editors read a finding a line.
std::string on_one_line(std::string text);

} // namespace tabard::pipeline
