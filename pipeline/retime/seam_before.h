#pragma once
#include "pipeline/time/edit_map.h"

#include <optional>
#include <vector>

namespace tabard::pipeline {

/// The last seam of the new film that a fade into `start` would cross, or at which it begins: at most kFadeLength
/// before it. A seam is where the new film begins to show a stretch of the old one, or shows one of `old_seams`
/// (rising), which an earlier cut has left.
std::optional<Time> seam_before(Time start, EditMap const& cut, std::vector<Time> const& old_seams);

} // namespace tabard::pipeline
