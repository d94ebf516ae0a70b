#pragma once
#include <compare>

namespace tabard::overlay {

/// The corner where the chord card sits; everything else is arranged from there (mirrored for the other corners). The
/// compact ones are for pictures with little room: all that is played stands together in the corner, and the strum is
/// left out.
enum class Corner {
    top_left,
    top_right,
    bottom_left,
    bottom_right,
    compact_top_left,
    compact_top_right,
    compact_bottom_left,
    compact_bottom_right
};
constexpr int kCorners = 8;
constexpr bool compact(Corner corner) { return corner >= Corner::compact_top_left; }
constexpr Corner without_compact(Corner corner)
{
    return compact(corner) ? static_cast<Corner>(static_cast<int>(corner) - 4) : corner;
}

/// The picture that overlays are laid out in. It is upright: rotation of the footage is the business of who blends.
struct Stage {
    int display_width = 1920; ///< as a viewer sees it, in square pixels
    int display_height = 1080;
    int raster_width = 1920; ///< pixels that are really drawn; differs where the sample aspect ratio is not 1
    int raster_height = 1080;
    int strings = 6;          ///< of the instrument, 3 to 8: the diagram keeps one size through the film
    bool left_handed = false; ///< diagrams are mirrored
    Corner corner = Corner::top_left;
    int capo = 0; ///< fret of the capo: with one, diagrams begin at it, not at the nut
    friend auto operator<=>(Stage const&, Stage const&) = default;
};

} // namespace tabard::overlay
