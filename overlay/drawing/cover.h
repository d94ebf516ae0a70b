#pragma once
#include "overlay/drawing/bitmap.h"
#include "overlay/drawing/box.h"
#include "overlay/drawing/theme.h"
#include "overlay/music/shapes/shape.h"

#include <optional>
#include <string>
#include <vector>

namespace tabard::overlay {

constexpr int kCoverWidth = 1280;
constexpr int kCoverHeight = 720;

/// What a cover says.
struct CoverText {
    std::string title;
    std::string subtitle;        ///< one line; may be empty
    std::optional<Shape> emblem; ///< a shape drawn beside the title
    bool capo = false;           ///< the emblem begins at a capo
    bool left_handed = false;
};

/// Something in a picture that is to be seen on the cover: in shares of the picture's width and height, not empty; how
/// bad it is to lose all of it (a face 10, the hands together 5).
struct CoverSight {
    Box box;
    double weight = 0;
};

/// A cover picture of kCoverWidth by kCoverHeight: `picture` (opaque, square pixels) with the title on a card, both
/// where they lose least of `sights` (see plan_cover()). An empty picture gives a plain ground.
Bitmap compose_cover(Bitmap const& picture, std::vector<CoverSight> const& sights, CoverText const& text,
                     Theme const& theme);

} // namespace tabard::overlay
