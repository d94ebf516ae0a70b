#pragma once
#include "pipeline/cues/finding.h"
#include "pipeline/listen/hearing.h"
#include "pipeline/listen/lesson_music.h"
#include "pipeline/time/edit_map.h"

#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// A chord of a chart as it was heard. Film times.
struct HeardChordCue {
    BarPosition position;
    std::string written; ///< its name in the chart
    SourcePosition at;
    Time time{0};
    bool early = false;             ///< half a beat before its beat
    std::optional<Time> other_time; ///< another instant that is nearly as likely
    std::string sounds_like;        ///< another chord that clearly sounds, named as the hand plays it; else empty
    bool cannot_tell = false;       ///< the sound does not say whether it is the written chord or a near one
};

/// What was heard of one section.
struct HeardSection {
    int section = 0; ///< index into Lesson::sections
    std::string name;
    SourcePosition at;
    bool has_time = false; ///< the cue file says when it is played
    bool found = false;
    double confidence = 0; ///< 0 to 1: share of the beats that sound as written
    Interval played;       ///< from its first beat to the end of its last
    Tempo tempo;           ///< mean
    std::vector<Pin> pins; ///< few, but enough
    std::vector<HeardChordCue> changes;
    bool playable = true; ///< the pins mean tempos that are played
    std::string doubt;    ///< why it may lie elsewhere all the same; mostly empty
    bool trusted() const; ///< sure enough to write its pins
};

/// Playing for which there are no chords.
struct StrayPlaying {
    Interval heard;
    std::optional<int> section; ///< index into Lesson::sections: the part that it lies in and that is to have chords
    std::string part;           ///< its name
};

/// What was heard of a lesson.
struct LessonHeard {
    std::vector<HeardSection> sections;
    double tuning_cents = 0;              ///< of the guitar above A4 = 440 Hz
    int frets_off = 0;                    ///< semitones above the written chart at which everything sounds
    std::vector<StrayPlaying> unexpected; ///< playing outside every section with a chart
    std::vector<std::string> remarks;
};

LessonHeard listen(Lesson const& lesson, Hearing const& heard, Places places = Places::as_written);

/// How far a chord on screen may be from the start of its stroke before a viewer notices: ITU-R BT.1359-1 puts
/// detectability at 45 ms for a late and 125 ms for an early picture. Times are of the cue; the picture that shows it
/// is never later (see SceneRuns).
struct SyncWindow {
    Time late = from_ticks(45, 1, 1000);
    Time early = from_ticks(125, 1, 1000);
};

/// Compares finished cues with the sound. Its findings have the codes of listen_codes(); a chord is off its sound where
/// it is outside the window around it.
std::vector<Finding> compare_with_sound(Lesson const& lesson, Hearing const& heard, SyncWindow const& window = {});

} // namespace tabard::pipeline
