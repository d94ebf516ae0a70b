#include "pipeline/render/orient.h"

#include "overlay/base/precondition.h"

#include <utility>

namespace tabard::pipeline {
namespace {

using overlay::Bitmap;
using overlay::RectPx;

struct Picture {
    int width;
    int height;
};

std::size_t index(int x, int y, int width)
{
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(width) + static_cast<std::size_t>(x);
}

// One quarter turn against the clock: what was at (x, y) comes to (y, width - 1 - x).
Bitmap turn_back(Bitmap const& from, Picture& picture)
{
    RectPx const& at = from.at;
    Bitmap to{{at.y, picture.width - at.x - at.width, at.height, at.width}, {}};
    to.pixels.resize(from.pixels.size());
    for (int y = 0; y < at.height; ++y)
        for (int x = 0; x < at.width; ++x)
            to.pixels[index(y, at.width - 1 - x, to.at.width)] = from.pixels[index(x, y, at.width)];
    std::swap(picture.width, picture.height);
    return to;
}

Bitmap mirror(Bitmap const& from, Picture picture)
{
    RectPx const& at = from.at;
    Bitmap to{{picture.width - at.x - at.width, at.y, at.width, at.height}, {}};
    to.pixels.resize(from.pixels.size());
    for (int y = 0; y < at.height; ++y)
        for (int x = 0; x < at.width; ++x)
            to.pixels[index(at.width - 1 - x, y, at.width)] = from.pixels[index(x, y, at.width)];
    return to;
}

} // namespace

Bitmap orient_to_stored(Bitmap const& upright, int shown_width, int shown_height, int quarter_turns, bool mirrored)
{
    PRECONDITION(quarter_turns >= 0 && quarter_turns < 4);
    Picture picture{shown_width, shown_height};
    Bitmap turned = upright;
    for (int i = 0; i < quarter_turns; ++i)
        turned = turn_back(turned, picture);
    return mirrored ? mirror(turned, picture) : turned;
}

} // namespace tabard::pipeline
