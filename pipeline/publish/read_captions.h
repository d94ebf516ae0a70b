#pragma once
#include "overlay/base/result.h"
#include "pipeline/publish/caption_files.h"

#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// What a caption file holds, and what had to be left out.
struct CaptionReading {
    CaptionFile file;                  ///< at least one caption
    std::vector<std::string> left_out; ///< in order of lines, each "line 7: what is wrong; what to do"
};

/// Reads WebVTT by the parser of the standard (W3C WebVTT 6) or, where no signature begins the file, SubRip. Any line
/// ends; UTF-8 or, with a byte order mark, UTF-16. What is no caption is left out alone, and the file goes on; an end
/// that is not after its beginning leaves a caption out as well, since it would never be seen.
/// Fails with invalid_input where the file is neither format, holds letters of another encoding (SubRip), or nothing is
/// left of it; the first line that was left out is named.
Result<CaptionReading> parse_captions(std::string_view bytes);

} // namespace tabard::pipeline
