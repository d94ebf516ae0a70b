#pragma once
#include "pipeline/listen/align.h"

#include <span>

namespace tabard::pipeline {

/// Whether bars that the chart does not have are played where it rests from `rest.from` to `rest.to`: whole bars at the
/// tempo of `part`, a stroke on most of their beats. `steady` is steadiness(heard).
bool are_extra_bars(Hearing const& heard, std::span<float const> steady, ExpectedPart const& chart,
                    AlignedPart const& part, Deviation const& rest);

} // namespace tabard::pipeline
