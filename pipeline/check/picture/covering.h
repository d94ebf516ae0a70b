#pragma once
#include "pipeline/check/picture/survey.h"

#include <array>
#include <optional>

namespace tabard::pipeline {

/// How much each cell moves: mean change of luma within a tenth of a second, in codes.
using MotionGrid = std::array<float, kGridCells>;

/// What moves as hands do: cells that move at least a third as much as the liveliest hundredth of the picture, and more
/// than camera noise. All others are nought.
MotionGrid strong(MotionGrid motion);

/// What the overlays would hide in a section, were they in some corner.
struct CornerCover {
    double hands = 0; ///< share of all strong motion that they lie on, 0 to 1
    double face = 0;  ///< share of the face that they hide most of
    Time face_time{0};
    friend bool operator==(CornerCover const&, CornerCover const&) = default;
};

/// From here on a person would say that the overlay is in the way. (Our own limits: no published source.)
constexpr double kHandsCovered = 0.2;
constexpr double kFaceCovered = 0.15;
constexpr bool in_the_way(CornerCover const& cover)
{
    return cover.hands >= kHandsCovered || cover.face >= kFaceCovered;
}

/// By overlay::Corner; empty where nobody asked.
using CornerCovers = std::array<std::optional<CornerCover>, overlay::kCorners>;

struct SectionCover {
    int section = 0; ///< index into Lesson::sections
    Time in{0};
    Time out{0};
    overlay::Corner corner = overlay::Corner::top_left; ///< where its overlays are
    CornerCovers corners;

    CornerCover const& here() const { return *corners[static_cast<std::size_t>(corner)]; }
};

enum class Corners {
    current,      ///< the one of each section
    where_needed, ///< the others too, in all sections of a corner that is in the way in one of them
    all,
};

/// Errors: as overlay::Painter::create().
Result<std::vector<SectionCover>> covering(Survey const& survey, Timeline const& timeline, overlay::Stage const& stage,
                                           overlay::Theme const& theme, Corners which = Corners::where_needed);

/// The corner that hides least over some sections, each counted by its length; the current one unless another is
/// clearly better. A compact one, which has no strum, only where all others are in the way, or where the current one is
/// compact. Needs Corners::all.
overlay::Corner best_corner(std::vector<SectionCover> const& sections, overlay::Corner current);

} // namespace tabard::pipeline
