#pragma once
#include "overlay/drawing/bitmap.h"
#include "overlay/drawing/theme.h"
#include "overlay/music/shapes/shape.h"

#include <optional>
#include <string>

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

/// A cover picture of kCoverWidth by kCoverHeight: `picture` (opaque, square pixels) fills it, cut at the longer side,
/// with the title on a card. An empty picture gives a plain ground.
Bitmap compose_cover(Bitmap const& picture, CoverText const& text, Theme const& theme);

} // namespace tabard::overlay
