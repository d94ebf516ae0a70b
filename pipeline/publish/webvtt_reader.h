#pragma once
#include "pipeline/publish/read_captions.h"

namespace tabard::pipeline {

/// Whether the lines begin with WebVTT's signature (W3C WebVTT 6.1, steps 4 to 7).
bool has_webvtt_signature(std::string_view first_line);

/// Reads the lines of a file that has the signature. Never fails: what is no caption is left out.
CaptionReading read_webvtt(std::vector<std::string> const& lines);

} // namespace tabard::pipeline
