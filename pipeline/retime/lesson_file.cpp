#include "pipeline/retime/lesson_file.h"

#include "overlay/base/precondition.h"
#include "pipeline/files/file_text.h"

#include <fmt/format.h>

namespace tabard::pipeline {

Result<LessonFile> read_lesson_file(std::filesystem::path const& path, LessonReadOptions const& options)
{
    TRY_ASSIGN(std::string text, read_file_text(path, kMostCueFileBytes));
    auto document = parse_document(text);
    if (!document)
        return Error{document.error().kind, fmt::format("{}: {}", path.string(), document.error().what)};
    LessonReading reading = lesson_of_document(*document, text, path, options);
    return LessonFile{path, std::move(text), *std::move(document), std::move(reading)};
}

Retimed retime(LessonFile const& file, MediaFacts const& old_film, EditMap const& cut, RetimeOptions const& options)
{
    PRECONDITION(file.reading.lesson);
    Lesson const& lesson = *file.reading.lesson;
    return retime(file.document, lesson, Timeline::resolve(lesson, old_film), cut, options);
}

LessonReading lesson_through(LessonFile const& file, MediaFacts const& old_film, EditMap const& cut,
                             RetimeOptions const& options)
{
    return lesson_of_document(retime(file, old_film, cut, options).document, file.text, file.path);
}

} // namespace tabard::pipeline
