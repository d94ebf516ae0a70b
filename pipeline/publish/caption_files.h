#pragma once
#include "pipeline/media/media_info.h"
#include "pipeline/publish/captions.h"

#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// A caption file as it was read. `blocks` are the STYLE and REGION blocks of a WebVTT file, to be written again.
struct CaptionFile {
    std::vector<Caption> captions; ///< in order of their beginnings
    std::vector<std::string> blocks;
    friend bool operator==(CaptionFile const&, CaptionFile const&) = default;
};

/// A WebVTT file (W3C WebVTT: The Web Video Text Tracks Format): hours always written, & and < escaped.
std::string webvtt(CaptionFile const& file);
/// A SubRip file (no published standard): numbered from 1, comma before the thousandths, tags but b, i and u left out.
std::string subrip(std::vector<Caption> const& captions);
/// The chapters as a WebVTT file: one after the other, without tags.
std::string webvtt_chapters(std::vector<Chapter> const& chapters);

/// Plain text as WebVTT cue text: escaped, on one line or several, without empty lines.
std::string cue_text(std::string_view plain);
/// WebVTT cue text as plain text: tags left out, escapes undone.
std::string plain_text(std::string_view cue_text);

} // namespace tabard::pipeline
