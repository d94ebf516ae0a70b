#include "overlay/drawing/layout.h"

#include <algorithm>
#include <array>
#include <utility>
#include <variant>

namespace tabard::overlay {
namespace {

// In units; see layout.h.
constexpr double kPictureWidth = 400;
constexpr double kLowestPicture = 150; ///< safe height that everything fits in
constexpr double kGap = 3.5;
constexpr double kSpacing = 15; ///< of the strings in the large diagram
constexpr double kChordHeight = 109;
constexpr double kNextHeight = 46;
constexpr double kTallestNext = 58;
constexpr double kDock = 40.5;
constexpr double kLowDock = 34.5;
constexpr double kTitles = 150; ///< width of what stands across from the chord
constexpr double kText = 168;   ///< of the author's words among it

/// Regions in a safe area whose top-left corner is the origin.
struct Regions {
    Box chord, next, capo, ribbon, strum, banner, count_in, text;
};

/// For more than six strings it is wider; for fewer the diagram stands in the middle.
double column_width(int strings) { return 108 + kSpacing * std::max(0, strings - 6); }

/// What is said beside the music, across from the chord.
void add_titles(Regions& s, double width, double dock, bool low)
{
    double const left = width - kTitles;
    s.banner = {left, 0, kTitles, 46};
    if (low) { // count and capo side by side
        double const half = (kTitles - kGap) / 2;
        double const top = dock - kGap - 25;
        s.capo = {left, top, half, 25};
        s.count_in = {left + half + kGap, top, half, 25};
        s.text = {width - kText, s.banner.bottom() + kGap, kText, top - 2 * kGap - s.banner.bottom()};
        return;
    }
    s.capo = {width - 130, s.banner.bottom() + kGap, 130, 27};
    s.count_in = {width - 124, dock - kGap - 27, 124, 27};
    double const top = s.capo.bottom() + kGap;
    s.text = {width - kText, top, kText, std::min(120.0, s.count_in.y - kGap - top)};
}

/// Chord and next chord in a column, bars and strum in a dock along the bottom.
Regions dock_regions(double width, double height, int strings)
{
    double const column = column_width(strings);
    double const dock = height - kDock;
    Regions s;
    s.chord = {0, 0, column, std::min(kChordHeight, dock - 2 * kGap - kNextHeight)};
    double const below = s.chord.bottom() + kGap;
    s.next = {0, below, column, std::min(kTallestNext, dock - kGap - below)};
    double const bars = (width - kGap) / 2;
    s.ribbon = {0, dock, bars, kDock};
    s.strum = {bars + kGap, dock, width - bars - kGap, kDock};
    add_titles(s, width, dock, false);
    return s;
}

/// As that, with the next chord in the dock, for pictures that are very wide.
Regions low_regions(double width, double height, int strings)
{
    double const column = column_width(strings);
    double const dock = height - kLowDock;
    double const half = (width - column - 2 * kGap) / 2;
    Regions s;
    s.chord = {0, 0, column, dock - kGap};
    s.next = {0, dock, column, kLowDock};
    s.ribbon = {column + kGap, dock, half, kLowDock};
    s.strum = {column + half + 2 * kGap, dock, half, kLowDock};
    add_titles(s, width, dock, true);
    return s;
}

/// Chord and next chord across the top, bars and strum across the bottom; a third of 9:16 with all that may be there.
Regions tall_regions(double width, double height, int strings)
{
    constexpr double kStrip = 88;
    double const chord = 226 + kSpacing * std::max(0, strings - 6);
    Regions s;
    s.chord = {0, 0, chord, kStrip};
    s.next = {chord + kGap, 0, width - chord - kGap, kStrip};
    s.strum = {0, height - 40, width, 40};
    s.ribbon = {0, s.strum.y - kGap - 34, width, 34};
    double const titles = s.ribbon.y - kGap - 46;
    s.banner = {0, titles, 146, 46};
    s.capo = {s.banner.right() + kGap, titles + 19, 104, 27};
    s.count_in = {s.capo.right() + kGap, titles + 19, width - s.capo.right() - kGap, 27};
    s.text = {0, titles - kGap - 28, width, 28};
    return s;
}

/// The bars join the chords; the dock is free.
void make_compact(Regions& s, bool tall, bool low)
{
    if (low)
        return; // all stands in one row of low cards already
    Box const bars = s.ribbon;
    s.ribbon = tall ? Box{0, s.chord.bottom() + kGap, bars.width, bars.height}
                    : Box{0, s.next.bottom() + kGap, s.chord.width, kDock};
    if (!tall)
        return;
    // What stood above the bars moves down to where the strum was.
    double const down = s.strum.bottom() - s.banner.bottom();
    for (Box* const box : {&s.banner, &s.capo, &s.count_in, &s.text})
        box->y += down;
    s.strum = {};
}

/// Upside down the chord that is played still stands above the one that follows.
void keep_reading_order(Regions& s)
{
    if (s.next.y <= s.chord.y)
        return;
    double const top = std::min(s.chord.y, s.next.y);
    double const between = s.next.y - s.chord.bottom();
    s.next.y = top;
    s.chord.y = s.next.bottom() + between;
}

/// From regions in units to display pixels, mirrored into the wanted corner.
Layout placed(Regions s, Layout layout)
{
    std::array const pairs{std::pair{&Layout::chord, &s.chord},       std::pair{&Layout::next, &s.next},
                           std::pair{&Layout::capo, &s.capo},         std::pair{&Layout::ribbon, &s.ribbon},
                           std::pair{&Layout::strum, &s.strum},       std::pair{&Layout::banner, &s.banner},
                           std::pair{&Layout::count_in, &s.count_in}, std::pair{&Layout::text, &s.text}};
    Box const& safe = layout.safe;
    double const unit = layout.unit;
    for (auto const& [member, region] : pairs) {
        Box box{region->x * unit, region->y * unit, region->width * unit, region->height * unit};
        box.x = safe.x + (layout.from_right ? safe.width - box.right() : box.x);
        box.y = safe.y + (layout.from_bottom ? safe.height - box.bottom() : box.y);
        layout.*member = box;
    }
    return layout;
}

struct RegionOf {
    Layout const& layout;
    Box operator()(ChordCard const& card) const
    {
        Box box = layout.chord;
        if (card.alone && layout.from_bottom && !layout.wide_chord)
            box.y = layout.safe.bottom() - box.height; // not above a place where nothing is
        return box;
    }
    Box operator()(NextChordCard const&) const { return layout.next; }
    Box operator()(CapoLine const&) const { return layout.capo; }
    Box operator()(StrumLane const&) const { return layout.strum; }
    Box operator()(BarRibbon const&) const { return layout.ribbon; }
    Box operator()(SectionBanner const&) const { return layout.banner; }
    Box operator()(CountIn const&) const { return layout.count_in; }
    Box operator()(TextCard const&) const { return layout.text; }
};

} // namespace

Box region_of(LayerContent const& content, Layout const& layout) { return std::visit(RegionOf{layout}, content); }

bool shown_in(LayerContent const& content, Corner corner)
{
    return !compact(corner) || !std::holds_alternative<StrumLane>(content);
}

Layout make_layout(Stage const& stage)
{
    double const width = stage.display_width;
    double const height = stage.display_height;
    Corner const corner = without_compact(stage.corner);
    bool const at_bottom = corner == Corner::bottom_left || corner == Corner::bottom_right;
    Layout layout;
    layout.unit = std::min(width / kPictureWidth, 0.9 * height / kLowestPicture);
    layout.safe = {0.05 * width, 0.05 * height, 0.9 * width, 0.9 * height};
    layout.wide_chord = width / height < 0.9;
    // Rows across a tall picture are read from the left in any corner.
    layout.from_right = !layout.wide_chord && (corner == Corner::top_right || corner == Corner::bottom_right);
    double const safe_width = layout.safe.width / layout.unit;
    double const safe_height = layout.safe.height / layout.unit;
    bool const low = safe_height < 201; // 16:9 has 202.5
    layout.from_bottom = at_bottom && !low;
    Regions regions = layout.wide_chord ? tall_regions(safe_width, safe_height, stage.strings)
                      : low             ? low_regions(safe_width, safe_height, stage.strings)
                                        : dock_regions(safe_width, safe_height, stage.strings);
    if (compact(stage.corner))
        make_compact(regions, layout.wide_chord, low);
    if (layout.from_bottom)
        keep_reading_order(regions);
    return placed(regions, layout);
}

} // namespace tabard::overlay
