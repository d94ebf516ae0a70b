#pragma once
#include "overlay/base/result.h"
#include "pipeline/cues/cue_document.h"
#include "pipeline/cues/reader.h"

#include <filesystem>
#include <string>

namespace tabard::pipeline {

/// A cue file read once: as text, as a tree that can be changed, and as what it means.
struct LessonFile {
    std::filesystem::path path;
    std::string text;
    JsonValue document; ///< null where the text is no JSON
    LessonReading reading;
};

/// Fails with not_found or io; what is wrong inside is in reading.findings.
Result<LessonFile> read_lesson_file(std::filesystem::path const& path, LessonReadOptions const& options = {});
/// The same for a text that would stand in `path`.
LessonFile lesson_file_of(std::string text, std::filesystem::path const& path, LessonReadOptions const& options = {});

} // namespace tabard::pipeline
