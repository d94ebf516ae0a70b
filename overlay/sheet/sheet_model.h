#pragma once
#include "overlay/music/meter.h"
#include "overlay/music/names/chord_label.h"
#include "overlay/music/patterns/strum_pattern.h"
#include "overlay/music/shapes/shape.h"

#include <compare>
#include <string>
#include <vector>

namespace tabard::overlay {

/// One way to play a chord. `level` says which of several ("easy", "full"); empty where there is one.
struct SheetShape {
    Shape shape;
    std::string level;
    friend auto operator<=>(SheetShape const&, SheetShape const&) = default;
};

/// A chord with the shapes for it, drawn side by side.
struct SheetChord {
    ChordLabel label;
    std::vector<SheetShape> shapes;
    friend auto operator<=>(SheetChord const&, SheetChord const&) = default;
};

struct SheetBarChord {
    ChordLabel label;
    int beats = 0;
    bool held = false; ///< goes on from the bar before: a slash instead of the name
    friend auto operator<=>(SheetBarChord const&, SheetBarChord const&) = default;
};

struct SheetBar {
    std::vector<SheetBarChord> chords;
    bool simile = false;
    bool opens_repeat = false;
    int closes_repeat = 0; ///< times the repeat that ends here is played; 0: none ends here
    friend auto operator<=>(SheetBar const&, SheetBar const&) = default;
};

/// A part of the song. With `same_as` it is printed as one line: its `tempo` and `strum` are set where they are other
/// ones than there.
struct SheetPart {
    std::string name;
    std::string same_as;
    Meter meter;
    std::string tempo; ///< "80 beats a minute"; empty where it is the song's
    std::string strum; ///< name of an entry of SheetModel::strums
    std::string remark;
    std::vector<SheetBar> bars;
    std::vector<std::string> words; ///< a line for each row of four bars; `|` inside it keeps to the bars
    friend auto operator<=>(SheetPart const&, SheetPart const&) = default;
};

struct SheetStrum {
    std::string name;
    StrumPattern pattern;
    Meter meter;
    friend auto operator<=>(SheetStrum const&, SheetStrum const&) = default;
};

/// What a shape is called and what sounds when the capo stays away, or the other way round.
struct SheetSounding {
    ChordLabel shape;
    ChordLabel sounds;
    friend auto operator<=>(SheetSounding const&, SheetSounding const&) = default;
};

/// Everything that is printed, in words and values; nothing of paper.
struct SheetModel {
    std::string title;
    int strings = 6;
    int capo = 0;
    std::string shapes_key; ///< printable; empty where not said
    std::string sounding_key;
    std::string tuning;                   ///< printable, empty for the instrument's usual one
    std::string meter;                    ///< "4/4"
    std::string tempo;                    ///< "80 beats a minute"
    std::vector<SheetChord> chords;       ///< in order of appearance
    std::vector<std::string> anchors;     ///< sentences: which fingers stay where
    std::vector<SheetSounding> soundings; ///< empty without a capo
    std::vector<SheetStrum> strums;
    std::string order; ///< of the parts, where one comes back; empty else
    std::vector<SheetPart> parts;
    std::string link; ///< where the lesson is; empty: none. A code and a link where is_web_link(), else text
    friend auto operator<=>(SheetModel const&, SheetModel const&) = default;
};

} // namespace tabard::overlay
