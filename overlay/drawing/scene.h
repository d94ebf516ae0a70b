#pragma once
#include "overlay/drawing/stage.h"
#include "overlay/music/meter.h"
#include "overlay/music/names/chord_label.h"
#include "overlay/music/patterns/strum_pattern.h"
#include "overlay/music/shapes/shape.h"

#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace tabard::overlay {

/// The chord to play now: name and diagram.
struct ChordCard {
    ChordLabel label;
    std::optional<Shape> shape;                 ///< none: the name alone (N.C., or a chord whose shape nobody gave)
    std::vector<int> staying;                   ///< strings (positions in frets) whose finger stays for the next chord
    std::vector<int> anchored;                  ///< strings whose finger stays through the whole part
    std::optional<Shape> coming = std::nullopt; ///< in the last beat: the shape that the hand moves to
    bool alone = false;                         ///< in a talk: no next chord ever stands beside it
    friend auto operator<=>(ChordCard const&, ChordCard const&) = default;
};

/// Most beats before a chord that are counted down to it.
constexpr int kBeatsAhead = 8;

/// The chord after it, with the beats left until it comes, of all that the chord before it lasts (0: not counted, as
/// in a talk).
struct NextChordCard {
    ChordLabel label;
    std::optional<Shape> shape;
    std::vector<int> staying;  ///< strings whose finger is already down
    std::vector<int> anchored; ///< as in ChordCard
    int beats_left = 0;
    int beats = 0;
    GroupStarts groups = 0; ///< of those beats, counted back: bit 0 is the last before it comes; 0: all weigh alike
    friend auto operator<=>(NextChordCard const&, NextChordCard const&) = default;
};

/// Where the capo sits and which key that makes. `fret` 0: no capo. Keys are printable ("C", "F♯m"), empty where not
/// said.
struct CapoLine {
    int fret = 0;
    std::string shapes_key;
    std::string sounding_key;
    friend auto operator<=>(CapoLine const&, CapoLine const&) = default;
};

/// The playing hand: one bar of the pattern, the step that is due now and the stroke that comes next.
struct StrumLane {
    std::string name;
    StrumPattern pattern;
    Meter meter;
    std::optional<int> lit_step;
    int bass_string = 0; ///< for pattern steps on the chord's own bass: 1 = highest; 0 unknown
    std::optional<int> next_stroke = std::nullopt;
    bool silent = false; ///< no chord sounds (N.C.): the hand rests
    friend auto operator<=>(StrumLane const&, StrumLane const&) = default;
};

/// One bar of the ribbon: chords with the beats that each lasts.
struct RibbonChord {
    ChordLabel label;
    int beats = 0;
    friend auto operator<=>(RibbonChord const&, RibbonChord const&) = default;
};
struct RibbonBar {
    int number = 0; ///< counted from 1 in its section
    int beats = 0;
    std::vector<RibbonChord> chords;
    friend auto operator<=>(RibbonBar const&, RibbonBar const&) = default;
};

/// Most bars that a ribbon shows.
constexpr int kBarsAhead = 4;

/// The bar that is played and those that are played after it in its section. Where a bar stands in the row follows from
/// its number alone, so bars never move: what was played gives its place to one that comes.
struct BarRibbon {
    std::vector<RibbonBar> bars; ///< the current one first, at most kBarsAhead
    std::optional<int> pulse;    ///< the last that was played of the current bar, from 0; none before its first
    int pulses = 4;              ///< of a bar
    int bars_in_section = 0;
    int crowding = 0;       ///< bar_crowding() of the section's most crowded bar: the row is divided alike throughout
    std::string part;       ///< the section's name
    GroupStarts groups = 0; ///< pulses of a bar that weigh more; 0: all weigh alike
    friend auto operator<=>(BarRibbon const&, BarRibbon const&) = default;
};

/// The section's title as it begins.
struct SectionBanner {
    std::string title;
    std::string subtitle; ///< the lesson's title, or which fingers stay through this part; may be empty
    friend auto operator<=>(SectionBanner const&, SectionBanner const&) = default;
};

/// Beats before the first bar: `beat` of `beats`, from 1.
struct CountIn {
    int beat = 1;
    int beats = 4;
    GroupStarts groups = 0; ///< those that weigh more: bit 0 is beat 1; 0: all weigh alike
    friend auto operator<=>(CountIn const&, CountIn const&) = default;
};

/// Free text by the author.
struct TextCard {
    std::string text;
    friend auto operator<=>(TextCard const&, TextCard const&) = default;
};

using LayerContent =
    std::variant<ChordCard, NextChordCard, CapoLine, StrumLane, BarRibbon, SectionBanner, CountIn, TextCard>;

/// A layer, how much of it is there (0 < level <= kFullLevel), and where: none is the corner of the stage.
constexpr int kFullLevel = 8;
struct Layer {
    LayerContent content;
    int level = kFullLevel;
    std::optional<Corner> corner = std::nullopt;
    friend auto operator<=>(Layer const&, Layer const&) = default;
};

/// All that is on screen at one instant, back to front. Holds no time: equal scenes look equal.
struct Scene {
    std::vector<Layer> layers;
    friend auto operator<=>(Scene const&, Scene const&) = default;
    bool empty() const { return layers.empty(); }
};

} // namespace tabard::overlay
