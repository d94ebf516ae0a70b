#pragma once
#include "pipeline/cues/finding.h"

#include <filesystem>
#include <string>

namespace tabard::pipeline {

/// "lesson.json:12:5: warning: at 0:52.4: what is wrong (and 2 more like it); how to fix it [code]": one finding on
/// one line, without its end, in the GNU Coding Standards' form, which editors jump by. `more`: how many say the same.
std::string finding_line(std::filesystem::path const& file, Finding const& finding, int more = 0);

} // namespace tabard::pipeline
