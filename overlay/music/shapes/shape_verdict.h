#pragma once
#include "overlay/music/names/chord_name.h"
#include "overlay/music/shapes/shape.h"
#include "overlay/music/tuning.h"

#include <compare>
#include <optional>
#include <string>
#include <vector>

namespace tabard::overlay {

/// A note of a shape that its name does not have.
struct ForeignNote {
    std::size_t string = 0; ///< position in Shape::frets
    int fret = 0;
    NoteName note;
    friend auto operator<=>(ForeignNote const&, ForeignNote const&) = default;
};

/// What the frets of a shape say about the name beside it.
struct ShapeVerdict {
    enum class Bass {
        right,    ///< the named bass, or the root where none is named
        inverted, ///< no bass is named and another chord tone lies lowest: usual, not wrong
        wrong,    ///< a bass is named and something else lies lowest
    };
    std::vector<Interval> missing; ///< tones of the name that do not sound
    std::vector<ForeignNote> foreign;
    Bass bass = Bass::right;
    std::optional<NoteName> lowest;  ///< what lies lowest; none where nothing sounds
    bool lacks_only_optional = true; ///< every missing tone is one that players leave out, such as the fifth
    friend auto operator<=>(ShapeVerdict const&, ShapeVerdict const&) = default;

    bool exact() const { return missing.empty() && foreign.empty() && bass == Bass::right; }
    /// Whether a teacher may print this name above this shape.
    bool fits() const { return foreign.empty() && lacks_only_optional && bass != Bass::wrong; }
};

/// Compares a shape with a name. Both are what the fretting hand plays, so the capo changes nothing. The shape has as
/// many strings as the tuning.
ShapeVerdict judge(Shape const& shape, ChordName const& chord, Tuning const& tuning);

/// The verdict in words: "exact", "leaves out the fifth (G)", "has a foreign note: D on string 2, fret 3".
/// Strings are counted as players do, 1 the last of the tuning.
std::string text_of(ShapeVerdict const& verdict, ChordName const& chord, Tuning const& tuning,
                    NoteNames names = NoteNames::english);

} // namespace tabard::overlay
