#pragma once
#include "overlay/drawing/box.h"
#include "overlay/drawing/scene.h"
#include "overlay/drawing/stage.h"

namespace tabard::overlay {

/// Where each kind of layer may ink, in display pixels. No two regions overlap and all lie inside the title-safe area,
/// the middle 90 % of width and height. The middle of the picture, where hands and face are, stays free.
struct Layout {
    double unit = 1;         ///< display pixels for 1/1080 of the design height; every size is a multiple of it
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

/// The arrangement for the shape of the picture: wide (from 5:4), square (from 9:10) or tall.
Layout make_layout(Stage const& stage);

/// The region of a kind of layer.
Box region_of(LayerContent const& content, Layout const& layout);

} // namespace tabard::overlay
