#include "overlay/drawing/layout.h"

#include <algorithm>
#include <array>

namespace tabard::overlay {
namespace {

constexpr double kDesignHeight = 1080; ///< the unit: every number below is in 1/1080 of the picture's height
constexpr double kTallMinimumWidth = 480;
constexpr double kGap = 16;

/// Regions in a safe area whose top-left corner is the origin.
struct Regions {
    Box chord, next, capo, ribbon, strum, banner, count_in, text;
};

double column_width(int strings) { return strings > 6 ? 404 : 352; }

/// Chord column at the left, one dock of ribbon and strum lane along the bottom.
Regions wide_regions(double width, double height, Stage const& stage)
{
    constexpr double kDockHeight = 148;
    double const column = column_width(stage.strings);
    double const dock = height - kDockHeight;
    double const strum = std::min(752.0, 0.44 * (width - kGap));
    double const ribbon = std::min(1000.0, width - kGap - strum);
    double const banner = std::min(760.0, width - column - kGap);
    double const text = std::min(680.0, width - column - kGap);
    Regions s;
    // The capo is said all through the film: it has the corner, so that it never hangs alone in the middle of an edge.
    s.capo = {0, 0, column, 80};
    s.chord = {0, stage.capo > 0 ? s.capo.bottom() + kGap : 0, column, 484};
    s.next = {0, s.chord.bottom() + kGap, column, 152};
    if (stage.capo == 0)
        s.capo.y = s.next.bottom() + kGap;
    s.ribbon = {0, dock, ribbon, kDockHeight};
    s.strum = {width - strum, dock, strum, kDockHeight};
    s.banner = {width - banner, 0, banner, 128};
    s.text = {width - text, s.banner.bottom() + kGap, text, 330};
    s.count_in = {width - 420, dock - kGap - 128, 420, 128};
    return s;
}

/// As wide, with the ribbon above the strum lane and the capo at the top of the other side.
Regions square_regions(double width, double height, int strings)
{
    double const column = column_width(strings);
    double const side = width - column - kGap;
    Regions s;
    s.chord = {0, 0, column, 484};
    s.next = {0, s.chord.bottom() + kGap, column, 152};
    s.strum = {0, height - 132, width, 132};
    s.ribbon = {0, s.strum.y - kGap - 120, width, 120};
    s.capo = {width - std::min(side, 352.0), 0, std::min(side, 352.0), 80};
    s.banner = {width - std::min(side, 500.0), s.capo.bottom() + kGap, std::min(side, 500.0), 108};
    s.text = {width - std::min(side, 470.0), s.banner.bottom() + kGap, std::min(side, 470.0), 310};
    s.count_in = {width - std::min(side, 420.0), s.ribbon.y - kGap - 116, std::min(side, 420.0), 116};
    return s;
}

/// Chord card across the top with the name beside the diagram; dock across the bottom.
Regions tall_regions(double width, double height)
{
    constexpr double kTallGap = 12;
    double const across = std::min(width, 640.0);
    double const half = (across - kTallGap) / 2;
    Regions s;
    s.chord = {0, 0, across, 240};
    s.next = {0, s.chord.bottom() + kTallGap, half, 96};
    s.capo = {half + kTallGap, s.next.y, half, 96};
    s.text = {0, s.next.bottom() + kTallGap, width, 170};
    s.strum = {0, height - 120, width, 120};
    s.ribbon = {0, s.strum.y - kTallGap - 100, width, 100};
    double const above = s.ribbon.y - kTallGap - 96;
    s.count_in = {width - 190, above, 190, 96};
    s.banner = {0, above, width - 190 - kTallGap, 96};
    return s;
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
    Box operator()(ChordCard const&) const { return layout.chord; }
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

Layout make_layout(Stage const& stage)
{
    double const width = stage.display_width;
    double const height = stage.display_height;
    bool const tall = width / height < 0.9;
    bool const square = !tall && width / height < 1.25;
    Layout layout;
    layout.unit = std::min(height / kDesignHeight, 0.9 * width / (tall ? kTallMinimumWidth : 760));
    layout.safe = {0.05 * width, 0.05 * height, 0.9 * width, 0.9 * height};
    layout.wide_chord = tall;
    layout.from_right = stage.corner == Corner::top_right || stage.corner == Corner::bottom_right;
    layout.from_bottom = stage.corner == Corner::bottom_left || stage.corner == Corner::bottom_right;
    double const safe_width = layout.safe.width / layout.unit;
    double const safe_height = layout.safe.height / layout.unit;
    if (tall)
        return placed(tall_regions(safe_width, safe_height), layout);
    return placed(square ? square_regions(safe_width, safe_height, stage.strings)
                         : wide_regions(safe_width, safe_height, stage),
                  layout);
}

} // namespace tabard::overlay
