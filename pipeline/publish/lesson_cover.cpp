#include "pipeline/publish/lesson_cover.h"

#include "pipeline/publish/lesson_words.h"
#include "pipeline/timeline/lesson_shapes.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// "Capo 4, shapes in C, 6 chords": where it goes over two lines, it breaks after a comma.
std::string subtitle_of(Lesson const& lesson)
{
    std::string line = *lesson.capo > 0 ? fmt::format("Capo\u00A0{}, ", *lesson.capo) : "";
    if (auto const key = shapes_key_of(lesson))
        line += fmt::format("{}hapes\u00A0in\u00A0{}, ", line.empty() ? 'S' : 's', key->pretty(*lesson.names));
    auto const chords = chord_names(lesson).size();
    return line + fmt::format("{}\u00A0chord{}", chords, chords == 1 ? "" : "s");
}

} // namespace

Time cover_time(Timeline const& timeline)
{
    auto const& chords = timeline.chords();
    return chords.empty() ? timeline.facts().duration / 10 : (chords.front().in + chords.front().out) / 2;
}

overlay::Bitmap draw_cover(Lesson const& lesson, overlay::Bitmap const& picture,
                           std::vector<overlay::CoverSight> const& sights, overlay::Theme const& theme)
{
    overlay::CoverText text;
    text.title = *lesson.title;
    text.subtitle = subtitle_of(lesson);
    text.capo = *lesson.capo > 0;
    text.left_handed = *lesson.left_handed;
    LessonShapes shapes(lesson);
    for (auto const& name : chord_names(lesson))
        if (auto const found = shapes.all(name); !found.empty()) {
            text.emblem = found.front().shape;
            break;
        }
    return overlay::compose_cover(picture, sights, text, theme);
}

} // namespace tabard::pipeline
