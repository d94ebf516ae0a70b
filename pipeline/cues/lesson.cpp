#include "pipeline/cues/lesson.h"

#include <algorithm>

namespace tabard::pipeline {

Result<overlay::ChordName> Lesson::chord(std::string_view name) const
{
    return overlay::ChordName::parse(name, *names);
}

overlay::ChordLabel Lesson::label(std::string_view name) const
{
    return overlay::label_of(name.empty() ? "N.C." : name, *names);
}

std::optional<overlay::Key> Lesson::sounding_key() const
{
    auto const read = overlay::Key::parse(*key, *names);
    return read ? std::optional{*read} : std::nullopt;
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
