#pragma once
#include "pipeline/cues/lesson.h"
#include "pipeline/listen/expected_music.h"

#include <string>
#include <vector>

namespace tabard::pipeline {

/// Where to look for the parts.
enum class Places { as_written, anywhere };

/// Where an expected part comes from, to go back from beats to bars.
struct PartOrigin {
    int section = 0;                    ///< index into Lesson::sections
    std::int64_t first_tick = 0;        ///< of the chart at the part's beat 0 (BarPosition::offset)
    std::int64_t ticks_per_beat = 5040; ///< a beat of the part: one of the meter's, or a group of three
    std::vector<std::string> names;     ///< chord as written, a span; empty: N.C.
    std::vector<SourcePosition> places; ///< where it is written, a span

    BarPosition position(int beat, overlay::Meter meter) const
    {
        return BarPosition::from_offset(first_tick + beat * ticks_per_beat, meter);
    }
};

/// What should be heard of a lesson, in the order in which it is played.
struct LessonMusic {
    ExpectedMusic parts;
    std::vector<PartOrigin> origins;  ///< a part
    std::vector<std::string> remarks; ///< sections that cannot be listened for, and why
};

/// The sounding chords of every section with a chart: names and shapes are the hand's, so the capo and a tuning that is
/// lower than standard are added. Made of the charts, not of a Timeline: where the bars lie in the film is what
/// listening finds out, and a Timeline shows no bars of a section that does not say. The author's pins become hard ones
/// where they fall on a beat and `keep_pins` is set.
LessonMusic lesson_music(Lesson const& lesson, Places places, bool keep_pins = true);

/// What a chord name of the lesson sounds like: by its name, or by the author's shape for a name that is none.
HeardChord heard_chord(Lesson const& lesson, std::string const& name);

} // namespace tabard::pipeline
