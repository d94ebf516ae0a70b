#include "pipeline/timeline/lesson_shapes.h"

#include "overlay/music/names/chord_name.h"
#include "overlay/music/shapes/shape_search.h"

namespace tabard::pipeline {

std::optional<overlay::Shape> shape_of(Lesson const& lesson, std::string const& name, Level level)
{
    if (auto const* const given = lesson.shape_for(name, level))
        return *given;
    auto const chord = overlay::ChordName::parse(name);
    return chord ? overlay::default_shape(*chord, *lesson.tuning) : std::nullopt;
}

std::vector<NamedShape> shapes_of(Lesson const& lesson, std::string const& name, std::optional<Level> level)
{
    ShapeEntry const* const entry = lesson.find_shape(name);
    if (entry && (!level || entry->shapes.size() == 1))
        return entry->shapes;
    auto shape = shape_of(lesson, name, level.value_or(Level::full));
    if (!shape)
        return {};
    return {{std::nullopt, *std::move(shape), entry != nullptr, entry ? entry->at : SourcePosition{}}};
}

std::optional<overlay::Shape> const& LessonShapes::at(std::string const& name, Level level)
{
    auto const [known, is_new] = m_known.try_emplace({name, level});
    if (is_new)
        known->second = shape_of(m_lesson, name, level);
    return known->second;
}

} // namespace tabard::pipeline
