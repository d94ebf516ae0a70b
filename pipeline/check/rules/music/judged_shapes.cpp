#include "pipeline/check/rules/music/judged_shapes.h"

#include "overlay/music/instrument.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::string label_of(ShapeEntry const& entry, NamedShape const& shape)
{
    if (!shape.level)
        return entry.name;
    return fmt::format("{} ({})", entry.name, *shape.level == Level::easy ? "easy" : "full");
}

} // namespace

std::vector<JudgedShape> judged_shapes(Lesson const& lesson)
{
    std::vector<JudgedShape> all;
    for (ShapeEntry const& entry : lesson.shapes) {
        auto const chord = lesson.chord(entry.name);
        if (!chord || chord->no_chord)
            continue;
        for (NamedShape const& shape : entry.shapes) {
            auto verdict = overlay::judge(shape.shape, *chord, *lesson.tuning);
            std::string words = overlay::text_of(verdict, *chord, *lesson.tuning, *lesson.names);
            all.push_back({entry.name, label_of(entry, shape), *chord, std::move(verdict), std::move(words), shape.at});
        }
    }
    return all;
}

std::vector<HeldShape> held_shapes(Lesson const& lesson)
{
    auto const instrument = overlay::Instrument::named(*lesson.instrument).value_or(overlay::Instrument{});
    std::vector<HeldShape> all;
    for (ShapeEntry const& entry : lesson.shapes)
        for (NamedShape const& shape : entry.shapes)
            all.push_back({entry.name, label_of(entry, shape), shape.shape,
                           overlay::judge_hand(shape.shape, *lesson.tuning, instrument.scale_mm, *lesson.capo),
                           shape.at});
    return all;
}

std::optional<Time> first_shown(Timeline const& timeline, std::string_view name)
{
    auto const found = std::ranges::find(timeline.chords(), name, &ChordSpan::name);
    return found == timeline.chords().end() ? std::nullopt : std::optional{found->in};
}

} // namespace tabard::pipeline
