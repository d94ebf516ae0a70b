#pragma once
#include "pipeline/cues/finding.h"

#include <cstddef>
#include <filesystem>
#include <string>
#include <string_view>

namespace tabard::cli {

/// How a terminal shows findings.
struct TerminalLook {
    std::size_t columns = 80;
    bool colours = false;
};

/// A finding for a person at a terminal: place and what is wrong, the line of the cue file with a mark under the place,
/// and what to do; wrapped at words. Safe to send to a terminal as it is. `text`: the cue file; `more`: how many
/// findings say the same.
std::string finding_view(std::filesystem::path const& file, std::string_view text, pipeline::Finding const& finding,
                         int more, TerminalLook look);

} // namespace tabard::cli
