#pragma once
#include "pipeline/check/checker.h"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// A cue file checked against a film of two minutes at 25 pictures a second, 1280 by 720, or what a file beside it
/// named NAME.film.json says of the film.
CheckResult checked_file(std::filesystem::path const& cues, CheckOptions const& options = {});
CheckResult checked_text(std::string_view cues, CheckOptions const& options = {});

/// "line code" of each finding, for messages and comparisons.
std::vector<std::string> codes_of(CheckResult const& result);

} // namespace tabard::pipeline
