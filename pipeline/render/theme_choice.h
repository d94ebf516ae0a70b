#pragma once
#include "overlay/drawing/box.h"
#include "overlay/drawing/stage.h"
#include "overlay/drawing/theme.h"
#include "pipeline/render/footage_light.h"
#include "pipeline/timeline/timeline.h"

#include <vector>

namespace tabard::pipeline {

/// Where cards stand from `in` to `out`, in shares of the displayed picture's width and height.
struct CardArea {
    Time in{0};
    Time out{0};
    overlay::Box box;
};

/// Of each section: where its kinds of cards stand in its corner. `stage` as for the film; its sizes are not used.
std::vector<CardArea> card_areas(Timeline const& timeline, overlay::Stage stage, SizePx displayed);

/// The contrast of a card to the footage under the areas: after WCAG 2.x, the geometric mean over all cells in the
/// pictures that an area is there for (in all pictures, where it is so for none). 21, the most, where there is no area.
double contrast_under(std::vector<CardArea> const& areas, FootageLight const& footage, overlay::Colour card);

/// WCAG 2.1, success criterion 1.4.11 (AA): what graphics need to be told from what is beside them.
constexpr double kLeastCardContrast = 3;

/// Whether cards of colour `other` are to take the place of `usual`, for all of a film: only if those do not stand out
/// from it (kLeastCardContrast) and these do so more. What lies in between stays as it is usual.
bool stands_out_better(overlay::Colour other, overlay::Colour usual, std::vector<CardArea> const& areas,
                       FootageLight const& footage);

} // namespace tabard::pipeline
