#pragma once
#include "overlay/base/result.h"
#include "pipeline/cues/cue_document.h"
#include "pipeline/cues/reader.h"
#include "pipeline/retime/retime.h"

#include <filesystem>
#include <string>

namespace tabard::pipeline {

/// A cue file read once: as text, as a tree that can be changed, and as what it means.
struct LessonFile {
    std::filesystem::path path;
    std::string text;
    JsonValue document;
    LessonReading reading;
};

/// Fails with not_found, io or invalid_input (no JSON at all); what is wrong inside is in reading.findings.
Result<LessonFile> read_lesson_file(std::filesystem::path const& path, LessonReadOptions const& options = {});

/// The new cue file for a film that was cut again. `file.reading` has a lesson; `old_film` is the film its times are
/// of.
Retimed retime(LessonFile const& file, MediaFacts const& old_film, EditMap const& cut,
               RetimeOptions const& options = {});

/// The lesson as it lies in the new film, without a file of its own: findings point at the lines of the old one.
LessonReading lesson_through(LessonFile const& file, MediaFacts const& old_film, EditMap const& cut,
                             RetimeOptions const& options = {});

} // namespace tabard::pipeline
