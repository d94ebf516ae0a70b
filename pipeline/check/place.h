#pragma once
#include "overlay/base/result.h"
#include "pipeline/check/picture/picture_facts.h"
#include "pipeline/files/inputs.h"

#include <optional>
#include <vector>

namespace tabard::pipeline {

/// A corner to be written into a cue file: the lesson's, or that of a section that has a placement of its own.
struct BetterCorner {
    std::optional<int> section; ///< index into Lesson::sections
    overlay::Corner corner = overlay::Corner::top_left;
    friend bool operator==(BetterCorner const&, BetterCorner const&) = default;
};

/// Where another corner hides clearly less than the current one. Of sections without Corners::all it says nothing.
std::vector<BetterCorner> better_corners(Lesson const& lesson, PictureFacts const& pictures);

/// Writes corners into the file that `lesson` was read from, each before the last key of its object where it has none
/// yet; all else stays. Nothing is written where the file is no longer what `inputs` saw before the lesson was read.
/// Errors: as read_document() and OutputFile.
Result<void> write_placements(Lesson const& lesson, std::vector<BetterCorner> const& corners, Inputs const& inputs);

} // namespace tabard::pipeline
