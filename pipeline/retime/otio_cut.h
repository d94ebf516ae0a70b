#pragma once
#include "pipeline/retime/cut_file.h"

#include <string_view>

namespace tabard::pipeline {

/// Reads an OpenTimelineIO JSON file: Timeline, Stack, Track, Clip (1 and 2), Gap, Transition, LinearTimeWarp and
/// FreezeFrame, nested as deep as kDeepestNest. Picture tracks are flattened, upper over lower; disabled items are
/// black; the film begins at 0 whatever global_start_time says. In a transition the map follows the outgoing picture
/// until the middle, rounded down to a frame. Media are known by name or target path. Times beyond JSON (NaN, Infinity)
/// are refused with their place; a schema that may hold picture and is not known here is unsupported, by name.
Result<CutReading> parse_otio_cut(std::string_view text, CutOptions const& options);

constexpr int kDeepestNest = 64;

} // namespace tabard::pipeline
