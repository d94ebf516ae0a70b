#include "pipeline/retime/lesson_through.h"

#include "overlay/base/precondition.h"

namespace tabard::pipeline {

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
