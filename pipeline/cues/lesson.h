#pragma once
#include "overlay/music/meter.h"
#include "overlay/music/names/chord_name.h"
#include "overlay/music/names/key.h"
#include "overlay/music/patterns/strum_pattern.h"
#include "overlay/music/shapes/shape.h"
#include "overlay/music/tuning.h"
#include "pipeline/cues/bar_position.h"
#include "pipeline/cues/chart.h"
#include "pipeline/cues/source_position.h"
#include "pipeline/time/time.h"

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// Tempo pulses a minute in thousandths: 76'000 is 76. A pulse is the meter's beat, a group of three in compound
/// meters.
struct Tempo {
    std::int64_t thousandths = 0;
    friend auto operator<=>(Tempo const&, Tempo const&) = default;
    constexpr Time pulse() const { return from_ticks(60'000, 1, thousandths); }
};

/// Which shape of a chord that has several.
enum class Level { full, easy };

/// The corner of the displayed picture where the chord cards sit; `automatic` leaves it to the layout. The compact ones
/// keep all together in the corner and leave out the strum.
enum class Placement {
    automatic,
    top_left,
    top_right,
    bottom_left,
    bottom_right,
    compact_top_left,
    compact_top_right,
    compact_bottom_left,
    compact_bottom_right
};

/// One shape that the author gave for a chord name. `level` is empty where the name has just this one.
struct NamedShape {
    std::optional<Level> level;
    overlay::Shape shape; ///< with the usual fingers where the author gave none
    bool fingers_given = false;
    SourcePosition at;
};

struct ShapeEntry {
    std::string name;               ///< as written; any text, usually a chord name
    std::vector<NamedShape> shapes; ///< at least one
    SourcePosition at;
};

struct StrumEntry {
    std::string name;
    overlay::StrumPattern pattern;
    SourcePosition at;
};

/// A single cue for a talk. Exactly one of chord, text, strum is not empty.
struct ShowCue {
    std::string chord;
    std::string text;
    std::string strum;
    std::optional<Level> level; ///< for a chord with several shapes
    Sourced<Time> from;
    std::optional<Sourced<Time>> to; ///< none: until the next cue of its kind, or the section's end
    SourcePosition at;
};

/// Where a place of the chart lies in the film. May lie outside its section and before the film's start (negative).
struct Pin {
    /// Where and when the playing goes on that stops at a pin.
    struct GoesOn {
        BarPosition position; ///< the pin's own: a pause; behind it: what lies between is skipped
        Time time{0};         ///< the pin's own: without a pause
    };
    BarPosition position;
    Time time{0};
    SourcePosition at;
    std::optional<GoesOn> goes_on{}; ///< as written "0:37 to 0:43" or "5.1 to 7.1"

    /// Where and when the playing goes on: here and at once where nothing else is said.
    BarPosition next_position() const { return goes_on ? goes_on->position : position; }
    Time next_time() const { return goes_on ? goes_on->time : time; }
};

/// A piece of a section that a cut has broken. It carries the whole chart; `from_bar` is where in it the piece begins
/// (it sounds at the section's `from`), `number` counts the pieces of one section from 1.
struct Piece {
    BarPosition from_bar;
    int number = 1;
    friend bool operator==(Piece const&, Piece const&) = default;
};

struct Section {
    Sourced<std::string> name;
    std::optional<Sourced<Time>> from; ///< none: where its first pin puts bar 1
    std::optional<Sourced<Time>> to;   ///< none: end of its bars, else start of the next section, else of the film
    std::optional<Sourced<Chart>> bars;
    std::vector<ShowCue> show;                 ///< in order of time
    std::vector<Pin> pins;                     ///< in order of bars
    Sourced<overlay::Meter> meter;             ///< its own, or the lesson's
    std::optional<Sourced<Tempo>> tempo;       ///< its own, or the lesson's
    int count_in = 0;                          ///< bars counted before bar 1 (which begins at `from`)
    std::optional<Sourced<std::string>> strum; ///< name of an entry of Lesson::strums, known to exist
    std::optional<Sourced<std::string>> text;  ///< shown while the section runs
    std::vector<Sourced<std::string>> words;   ///< lines of words, for paper
    std::optional<Piece> piece;
    std::vector<Time> seams; ///< where a cut joined two stretches of film, rising: nothing fades in over one
    std::optional<Sourced<Placement>> placement;
    SourcePosition at;
    SourcePosition end; ///< its closing brace
};

/// A finding that the author accepts, by its code, and why.
struct Acceptance {
    std::string code;
    std::string reason;
    std::string section; ///< name of the only section it is meant for; empty: the whole lesson
    SourcePosition at;
};

/// The footage that the cues were made for, as `tabard start` and `tabard retime` note it down.
struct FootageFacts {
    std::optional<Sourced<Time>> duration;
    std::optional<Sourced<FrameRate>> rate;
    std::optional<Sourced<std::string>> fingerprint;
    SourcePosition at;
};

/// What the author of a cue file wrote, understood and checked as far as the file alone allows.
/// Chord names are what the fretting hand plays (relative to the capo), `key` is what sounds. Names stay as the author
/// wrote them everywhere: what they mean is asked from chord(), label() and sounding_key(), which know in which
/// language the lesson names its notes.
struct Lesson {
    std::filesystem::path file; ///< the cue file
    Sourced<std::string> title;
    Sourced<std::filesystem::path> footage; ///< relative paths are resolved against the cue file's folder
    std::optional<FootageFacts> footage_facts;
    Sourced<std::string> instrument{"guitar", {}};
    Sourced<overlay::Tuning> tuning;
    Sourced<int> capo;
    Sourced<overlay::NoteNames> names; ///< of chords and keys
    Sourced<std::string> key;          ///< as written ("E", "F#m"); empty where not said
    Sourced<overlay::Meter> meter;
    std::optional<Sourced<Tempo>> tempo;
    std::vector<ShapeEntry> shapes;
    std::vector<StrumEntry> strums;
    std::vector<Section> sections;
    Sourced<Placement> placement;
    Sourced<bool> left_handed;
    Sourced<std::string> theme; ///< name in templates/ or path; empty: the default
    Sourced<std::string> link;  ///< where the lesson is found; empty where not said
    std::vector<Acceptance> accept;

    /// Fails with invalid_input for a name that is no chord.
    Result<overlay::ChordName> chord(std::string_view name) const;
    /// The name set in type; "N.C." for the empty one.
    overlay::ChordLabel label(std::string_view name) const;
    /// None where the lesson says none that is one.
    std::optional<overlay::Key> sounding_key() const;

    ShapeEntry const* find_shape(std::string_view name) const; ///< null where the file defines none
    StrumEntry const* find_strum(std::string_view name) const;
    /// The author's shape for a chord at a level (the other level, or the only one, where that is all there is).
    overlay::Shape const* shape_for(std::string_view name, Level level) const;
};

} // namespace tabard::pipeline
