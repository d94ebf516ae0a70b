#pragma once
#include "overlay/drawing/box.h"
#include "overlay/drawing/scene.h"
#include "overlay/drawing/stage.h"

namespace tabard::overlay {

// Sizes are in units. One unit is 1/400 of the picture's width: a pixel where a phone shows the picture 400 pixels
// wide. (Wider than about 2.4:1 it is smaller, so that everything fits.) In 16:9 that is 1/225 of the height.
/// The least em of what says what to play: chord names, finger numbers, the count-in. 4.9 % of the height of 16:9, the
/// 5 % that WebVTT takes as the default size of a caption, to the nearest pixel of a phone.
constexpr double kPlayedEm = 11;
/// The least em of everything else; what has no room for it is not drawn.
constexpr double kLeastEm = 8.5;
/// Themes give lengths in 1/1080 of the height of 16:9.
constexpr double kThemeUnit = 225.0 / 1080;

/// Where each kind of layer may ink, in display pixels. No two regions overlap and all lie inside the title-safe area,
/// the middle 90 % of width and height. The middle of the picture, where hands and face are, stays free.
struct Layout {
    double unit = 1;         ///< display pixels of a unit
    bool wide_chord = false; ///< chord card with the name beside the diagram instead of above it
    bool from_right = false; ///< content shorter than its region sits at the right end
    bool from_bottom = false;
    Box safe;
    Box chord;
    Box next;
    Box capo;
    Box ribbon;
    Box strum;
    Box banner;
    Box count_in;
    Box text;
    friend auto operator<=>(Layout const&, Layout const&) = default;
};

/// The arrangement for the shape of the picture: a column in a corner and a dock along the bottom (from 9:10), rows
/// across it where it is taller.
Layout make_layout(Stage const& stage);

/// Whether a kind of layer is drawn in a corner at all: the compact ones have no strum.
bool shown_in(LayerContent const& content, Corner corner);

/// The region of a kind of layer.
Box region_of(LayerContent const& content, Layout const& layout);

} // namespace tabard::overlay
