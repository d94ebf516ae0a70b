#pragma once
#include "overlay/drawing/scene.h"

#include <vector>

// How much room the chord names of a bar need, by the letters alone: without fonts, for those who lay out time.
namespace tabard::overlay {

// The card of the bars, in units: what it leaves at its sides, a bar at its own, above the bars where they stand in two
// rows, and below them.
constexpr double kRibbonPad = 6;
constexpr double kCellPad = 3;
constexpr double kTightHead = 10.5;
constexpr double kRibbonFoot = 2;

/// The width of a name in hundredths of its em, not less than what it takes in the bold letters of the default font.
int estimated_width(ChordLabel const& label);

/// The width that a bar must have so that each name fits behind the one before it, in hundredths of the em of names.
int bar_crowding(std::vector<RibbonChord> const& chords);

/// Where each name of a bar begins: on its beat, or as near to it as the names beside it let it. Given their widths and
/// the bar's in one unit, with `gap` between two of them.
std::vector<double> name_places(std::vector<RibbonChord> const& chords, int beats, std::vector<double> const& widths,
                                double bar_width, double gap);

/// How bars are arranged: so many in a row, in so many rows. Their number does not change within a section.
struct BarRows {
    int columns = kBarsAhead;
    int rows = 1;
    int bars() const { return columns * rows; }
    friend auto operator<=>(BarRows const&, BarRows const&) = default;
};
/// As many as fit of four in a row, two rows of two, two of one, and one alone; `ems` is the room for bars side by
/// side, in ems of names, `padding` what each of them loses at its sides. `rows`: how many there is room for.
BarRows arrange_bars(int crowding, double ems, double padding, int rows);

/// That of a section in a picture.
BarRows bars_shown(int crowding, Stage const& stage);
/// Whether the names of its most crowded bar are all drawn; else the bar ends with an ellipsis.
bool bars_fit(int crowding, Stage const& stage);

} // namespace tabard::overlay
