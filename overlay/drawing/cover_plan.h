#pragma once
#include "overlay/drawing/box.h"
#include "overlay/drawing/cover.h"

#include <vector>

namespace tabard::overlay {

/// A card for the cover, as its words come out when they are set in one of several ways.
struct CoverCard {
    double width = 0;
    double height = 0;
    double letters = 1; ///< size of the title, of the largest that there is
};

/// Where everything on a cover is, in its pixels. Beside `window` the ground is plain, and a card there needs no plate.
struct CoverPlan {
    Box picture; ///< the whole picture, of which `window` shows a part
    Box window;
    Box card;
    std::size_t chosen = 0; ///< which of the cards
    bool plain = false;     ///< the card stands beside the picture
    double lost = 0;        ///< weights of what is hidden or cut off, added up
};

/// The plan that loses least of what is to be kept, then the one with the largest letters and picture: the picture
/// fills the cover and the card lies where nothing is, or it stands at one side and the card beside it. `width` and
/// `height` are the picture's. One card at least.
CoverPlan plan_cover(double width, double height, std::vector<CoverSight> const& sights,
                     std::vector<CoverCard> const& cards);

} // namespace tabard::overlay
