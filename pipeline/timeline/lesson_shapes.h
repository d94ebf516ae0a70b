#pragma once
#include "pipeline/cues/lesson.h"

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace tabard::pipeline {

/// A chord that has another shape in the lesson than it has alone, and why.
struct ShapeInContext {
    std::string name; ///< as it is first written
    overlay::Shape shape;
    overlay::Shape alone; ///< the usual shape; may have the same frets and other fingers
    std::string reason;   ///< "fingers 3 and 4 stay between G and Cadd9"
};

/// The shape that each chord name gets in a lesson, for film, sheet and checks alike: the author's at a level (see
/// Lesson::shape_for); where the author gives none, one of those that players take first in this tuning behind this
/// capo; none for a name that is no chord, or that no hand can play.
///
/// One name has one shape in all parts and at both levels. Those that nobody gave are chosen together, so that the
/// changes of all charts ask least of the hand: each chart counts once, with its repeats and from its last chord back
/// to its first, at each level for which there are shapes; the author's shapes are fixed; a chord that is only shown in
/// a talk keeps its usual shape. So a cut that repeats or breaks parts changes no shape.
class LessonShapes {
public:
    /// The lesson must outlive it.
    explicit LessonShapes(Lesson const& lesson);

    std::optional<overlay::Shape> const& at(std::string const& name, Level level);
    /// All that a name has, side by side; of several that of a level alone, where one is asked for, without saying
    /// which.
    std::vector<NamedShape> all(std::string const& name, std::optional<Level> level = std::nullopt);
    /// In order of appearance; empty where each chord is played as it is alone.
    std::vector<ShapeInContext> const& in_context() const { return m_in_context; }

private:
    Lesson const& m_lesson;
    std::map<std::string, overlay::Shape> m_chosen; ///< by the name in its plain spelling
    std::vector<ShapeInContext> m_in_context;
    std::map<std::pair<std::string, Level>, std::optional<overlay::Shape>> m_known;
};

} // namespace tabard::pipeline
