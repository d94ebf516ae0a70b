#pragma once
#include "pipeline/check/checker.h"

#include <filesystem>
#include <functional>
#include <string>

namespace tabard::pipeline {

/// What a report shows. Borrowed; lesson and timeline are null where the cue file was not understood.
struct ReportInput {
    CheckResult const& result;
    std::filesystem::path const& file; ///< the cue file, as the findings name it
    Lesson const* lesson = nullptr;
    Timeline const* timeline = nullptr;
    /// A picture of the film at a time as a data: address; empty where there is none. May be empty itself.
    std::function<std::string(Time)> picture_at = {};
    bool upright = false; ///< the pictures are higher than wide
};

/// One HTML page that needs nothing but itself: the film's timeline as pictures (sections, chords, texts, findings),
/// then each finding with its place, its remedy and a picture. It can be used from the keyboard and printed, has no
/// scripts and forbids itself the network. The same input gives the same bytes.
std::string report_html(ReportInput const& input);

} // namespace tabard::pipeline
