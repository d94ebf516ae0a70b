#pragma once
#include "overlay/base/result.h"
#include "pipeline/time/time.h"

#include <string>
#include <string_view>

namespace tabard::pipeline {

enum class CaptionFormat { webvtt, subrip };

/// What the line above a caption says: "00:01.000 --> 00:02.000 align:start".
struct CaptionTiming {
    Time from{0};
    Time to{0};             ///< later than `from`
    std::string settings{}; ///< those of WebVTT's settings that it knows, as written; empty for SubRip
    friend bool operator==(CaptionTiming const&, CaptionTiming const&) = default;
};

constexpr std::string_view kCaptionArrow = "-->";

/// Reads a line that holds an arrow: WebVTT by W3C WebVTT 6.4 ("collect a WebVTT timestamp"), SubRip (no published
/// standard) with a comma or a full stop before the thousandths and without hours too. Fails with invalid_input, saying
/// what is wrong and how it is written right, also where the caption would end before it begins.
Result<CaptionTiming> parse_caption_timing(std::string_view line, CaptionFormat format);

} // namespace tabard::pipeline
