#pragma once
#include "overlay/drawing/bitmap.h"
#include "pipeline/media/media_info.h"
#include "pipeline/render/compositor.h"
#include "pipeline/render/scene_runs.h"

#include <filesystem>
#include <stop_token>

namespace tabard::pipeline {

struct Still {
    overlay::Bitmap picture; ///< as a viewer sees it: upright, square pixels, sRGB, opaque
    Time time{0};            ///< presentation time of the footage's picture
};

/// The picture on screen at `at` with its scene over it. Before the first picture that is the first, after the end the
/// last. HDR is brought to sRGB for looking at: light above graphics white (203 cd/m2) is cut off. Errors: as
/// MediaReader and Compositor.
Result<Still> render_still(std::filesystem::path const& footage, Time at, SceneRuns const& runs, Look const& look,
                           std::stop_token stop = {});

/// A stored picture as sRGB pixels: upright, scaled to the displayed size of `video`, opaque.
overlay::Bitmap to_displayed_bitmap(PictureView const& picture, VideoTrack const& video);

} // namespace tabard::pipeline
