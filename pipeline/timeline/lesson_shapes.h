#pragma once
#include "pipeline/cues/lesson.h"

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace tabard::pipeline {

/// The shape that a chord name gets in a lesson, for film, sheet and checks alike: the author's at a level (see
/// Lesson::shape_for); where the author gives none, the usual one of the tuning; none for a name that is no chord, or
/// that no hand can play.
std::optional<overlay::Shape> shape_of(Lesson const& lesson, std::string const& name, Level level);
/// All that it has, side by side; of several that of a level alone, where one is asked for, without saying which.
std::vector<NamedShape> shapes_of(Lesson const& lesson, std::string const& name,
                                  std::optional<Level> level = std::nullopt);

/// The same for many names: each is looked for once. The lesson must outlive it.
class LessonShapes {
public:
    explicit LessonShapes(Lesson const& lesson) : m_lesson(lesson) {}
    std::optional<overlay::Shape> const& at(std::string const& name, Level level);

private:
    Lesson const& m_lesson;
    std::map<std::pair<std::string, Level>, std::optional<overlay::Shape>> m_known;
};

} // namespace tabard::pipeline
