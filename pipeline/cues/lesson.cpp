#include "pipeline/cues/lesson.h"

#include <algorithm>

namespace tabard::pipeline {

bool operator==(Section const& a, Section const& b)
{
    return a.name == b.name && a.from == b.from && a.to == b.to && a.bars == b.bars && a.show == b.show &&
           a.pins == b.pins && a.meter == b.meter && a.tempo == b.tempo && a.count_in == b.count_in &&
           a.strum == b.strum && a.text == b.text && a.words == b.words && a.piece == b.piece && a.seams == b.seams &&
           a.placement == b.placement;
}

bool operator==(Lesson const& a, Lesson const& b)
{
    return a.title == b.title && a.footage == b.footage && a.footage_facts == b.footage_facts &&
           a.instrument == b.instrument && a.tuning == b.tuning && a.capo == b.capo && a.key == b.key &&
           a.meter == b.meter && a.tempo == b.tempo && a.shapes == b.shapes && a.strums == b.strums &&
           a.sections == b.sections && a.placement == b.placement && a.left_handed == b.left_handed &&
           a.theme == b.theme && a.link == b.link && a.accept == b.accept;
}

ShapeEntry const* Lesson::find_shape(std::string_view name) const
{
    auto const found = std::ranges::find(shapes, name, &ShapeEntry::name);
    return found == shapes.end() ? nullptr : &*found;
}

StrumEntry const* Lesson::find_strum(std::string_view name) const
{
    auto const found = std::ranges::find(strums, name, &StrumEntry::name);
    return found == strums.end() ? nullptr : &*found;
}

overlay::Shape const* Lesson::shape_for(std::string_view name, Level level) const
{
    ShapeEntry const* entry = find_shape(name);
    if (!entry || entry->shapes.empty())
        return nullptr;
    auto const wanted = std::ranges::find(entry->shapes, std::optional{level}, &NamedShape::level);
    return wanted == entry->shapes.end() ? &entry->shapes.front().shape : &wanted->shape;
}

} // namespace tabard::pipeline
