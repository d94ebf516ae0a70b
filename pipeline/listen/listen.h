#pragma once
#include "pipeline/listen/align.h"
#include "pipeline/listen/doubt.h"
#include "pipeline/listen/hearing.h"
#include "pipeline/listen/lesson_music.h"
#include "pipeline/listen/unexpected_playing.h"
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

/// Where the playing of a section leaves its chart and goes on with it.
struct HeardDeviation {
    Deviation::Kind kind = Deviation::Kind::pause;
    BarPosition position; ///< the first place of the chart that is not played in time before it
    BarPosition next;     ///< the chart goes on with this one
    BarPosition again;    ///< again: the first place that is played once more
    int bars_before = 0;  ///< again: whole bars of it that were played before
    Interval span;        ///< between what is played in time
    bool sure = true;     ///< otherwise another way through the chart is nearly as likely
};

/// What was heard of one section.
struct HeardSection {
    int section = 0; ///< index into Lesson::sections
    std::string name;
    SourcePosition at;
    bool has_time = false; ///< the cue file says when it is played
    Verdict verdict = Verdict::not_found;
    double confidence = 0; ///< 0 to 1: how likely each change is within 200 ms of what was heard
    double fits = 0;       ///< 0 to 1: share of the beats that sound as written
    std::string reason;    ///< why it is doubtful or not found; empty where it is sure
    std::string help;      ///< what the author can do about it
    bool taken = false;    ///< the author takes it although it is doubtful
    Interval played;       ///< from its first beat to the end of its last; this and what follows: unless not found
    Tempo tempo;           ///< mean
    std::vector<Pin> pins; ///< few, but enough
    std::vector<HeardChordCue> changes;
    std::vector<HeardDeviation> deviations;
    std::vector<Interval> also; ///< it was played then too, best first: the author knows which is meant

    /// Its pins are written.
    bool trusted() const { return verdict == Verdict::sure || (verdict == Verdict::doubtful && taken); }
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

} // namespace tabard::pipeline
