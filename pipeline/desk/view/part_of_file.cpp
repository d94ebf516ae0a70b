#include "pipeline/desk/view/part_of_file.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {

std::optional<Lesson> sketch_of(LessonView const& view)
{
    LessonReadOptions options;
    options.charts = Charts::untimed;
    if (view.film.headers && view.film.headers->video)
        options.footage_rate = [&view](std::filesystem::path const&) {
            return std::optional{view.film.headers->video->rate};
        };
    return parse_lesson(view.file.text, view.file.path, options).lesson;
}

std::optional<std::size_t> index_in_file(JsonValue const& document, SourcePosition at)
{
    JsonValue const* const sections = document.find("sections");
    if (!sections)
        return std::nullopt;
    auto const item = std::ranges::find(sections->items, at, &JsonValue::at);
    if (item == sections->items.end())
        return std::nullopt;
    return static_cast<std::size_t>(item - sections->items.begin());
}

Result<PartOfFile> part_of_file(LessonView const& view, int part)
{
    JsonValue const* const sections = view.file.document.find("sections");
    if (!sections || part < 0 || static_cast<std::size_t>(part) >= sections->items.size())
        return Error{ErrorKind::not_found, fmt::format("the lesson has no part {}", part + 1)};
    auto lesson = sketch_of(view);
    SourcePosition const at = sections->items[static_cast<std::size_t>(part)].at;
    if (lesson)
        for (std::size_t n = 0; n < lesson->sections.size(); ++n)
            if (lesson->sections[n].at == at)
                return PartOfFile{*std::move(lesson), n};
    return Error{ErrorKind::invalid_input,
                 fmt::format("part {} cannot be understood; fix what is found in it first", part + 1)};
}

} // namespace tabard::pipeline
