#include "pipeline/cues/lesson_file.h"

#include "pipeline/cues/json_text.h"
#include "pipeline/files/file_text.h"

namespace tabard::pipeline {

Result<LessonFile> read_lesson_file(std::filesystem::path const& path, LessonReadOptions const& options)
{
    TRY_ASSIGN(std::string text, read_file_text(path, kMostCueFileBytes));
    return lesson_file_of(std::move(text), path, options);
}

LessonFile lesson_file_of(std::string text, std::filesystem::path const& path, LessonReadOptions const& options)
{
    LessonFile file;
    file.path = path;
    file.text = std::move(text);
    JsonReading json = read_json(file.text);
    if (!json.value) {
        file.reading.findings = std::move(json.findings);
        return file;
    }
    file.document = *std::move(json.value);
    file.reading = lesson_of_document(file.document, file.text, path, options);
    return file;
}

} // namespace tabard::pipeline
