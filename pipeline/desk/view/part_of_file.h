#pragma once
#include "pipeline/desk/view/lesson_view.h"

#include <cstddef>
#include <optional>

namespace tabard::pipeline {

/// A part as the desk names it, by its place in "sections" of the file, and as it is understood.
struct PartOfFile {
    Lesson lesson;           ///< parts without a time are in it
    std::size_t section = 0; ///< index into lesson.sections

    Section const& own() const { return lesson.sections[section]; }
};

/// Fails with not_found where the file has no such part, and with invalid_input where it cannot be understood.
Result<PartOfFile> part_of_file(LessonView const& view, int part);

/// The lesson of this version with the parts that have no time yet; none where the file is no lesson.
std::optional<Lesson> sketch_of(LessonView const& view);

/// The index in "sections" of the file of a part that begins at this place.
std::optional<std::size_t> index_in_file(JsonValue const& document, SourcePosition at);

} // namespace tabard::pipeline
