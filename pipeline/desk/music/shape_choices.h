#pragma once
#include "overlay/music/names/chord_name.h"
#include "pipeline/cues/lesson.h"
#include "pipeline/desk/file/document_set.h"
#include "pipeline/timeline/lesson_shapes.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// A chord that comes before or after another one where they are played.
struct ChordBeside {
    std::string name;
    overlay::Shape shape; ///< that it has in the lesson
    bool before = false;
    bool after = false;
};

/// The chords beside `name` in the charts of one part (index into Lesson::sections), or of all; in order of appearance.
/// Those without a shape are left out.
std::vector<ChordBeside> chords_beside(Lesson const& lesson, LessonShapes& shapes, std::string_view name,
                                       std::optional<std::size_t> section);

/// Which fingers stay between a shape and the chords beside it: "2 fingers stay from G"; most first.
struct StayingFingers {
    std::vector<std::string> words;
    std::vector<std::string> chords;
};
StayingFingers staying_fingers(overlay::Shape const& shape, std::vector<ChordBeside> const& beside);

/// A shape that a chord could have.
struct ShapeChoice {
    overlay::Shape shape;
    std::vector<std::string> words; ///< "open position", "3 fingers", "2 fingers stay from G", "sounds also as Am7"
    std::vector<std::string> stays; ///< names of chords beside it
    bool used = false;              ///< the one it has in the lesson now
};

/// At most `most` shapes: the one in use, others of the author's, then those of the search in this tuning behind this
/// capo, best first. `chord`: what the name means; none where it is no chord name, which has the author's shapes alone.
std::vector<ShapeChoice> shape_choices(Lesson const& lesson, std::string const& name,
                                       std::optional<overlay::ChordName> const& chord,
                                       std::optional<std::size_t> section, std::size_t most = 12);

/// What gives a chord this shape in the file; of a chord with levels the full one. What else its entry holds stays.
std::vector<DocumentSet> shape_edits(JsonValue const& document, std::string const& name, overlay::Shape const& shape);

} // namespace tabard::pipeline
