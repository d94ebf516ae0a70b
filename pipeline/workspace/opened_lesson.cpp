#include "pipeline/workspace/opened_lesson.h"

#include "overlay/base/precondition.h"
#include "pipeline/cues/finding_line.h"
#include "pipeline/files/shell_word.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {

OpenedLesson as_written(WrittenLesson written, Level level)
{
    PRECONDITION(written.file.reading.lesson);
    Lesson lesson = *std::move(written.file.reading.lesson);
    auto timeline = Timeline::resolve(lesson, written.film.facts, {level});
    return {std::move(lesson), std::move(written.file.reading.findings), std::move(written.film), std::move(timeline),
            std::nullopt};
}

MediaFacts facts_before(KnownFilm const& footage, CutReading const& cut)
{
    MediaFacts facts = footage.facts;
    if (facts.duration == Time{0})
        for (KeptSpan const& span : cut.map.spans())
            facts.duration = std::max(facts.duration, span.source.to);
    return facts;
}

Result<void> check_usable(LessonFile const& file)
{
    constexpr int kNamed = 20;
    if (file.reading.usable())
        return {};
    std::string text;
    int errors = 0;
    for (Finding const& finding : file.reading.findings) {
        if (finding.severity == Severity::error && errors++ < kNamed)
            text += finding_line(file.path, finding) + "\n";
    }
    text += fmt::format("{} has {} error{}; fix {} first (tabard check {})", file.path.string(), errors,
                        errors == 1 ? "" : "s", errors == 1 ? "it" : "them", shell_word(file.path.string()));
    return Error{ErrorKind::invalid_input, text};
}

} // namespace tabard::pipeline
