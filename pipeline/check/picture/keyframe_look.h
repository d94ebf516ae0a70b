#pragma once
#include "pipeline/check/picture/contrast.h"
#include "pipeline/check/picture/face_finder.h"
#include "pipeline/check/picture/grid.h"
#include "pipeline/check/picture/light.h"
#include "pipeline/machine/spares.h"
#include "pipeline/media/decoded_picture.h"

#include <optional>
#include <vector>

namespace tabard::pipeline {

/// What one keyframe shows.
struct KeyframeLook {
    Time time{0};
    Grid grid;
    RgbGrid shown;
    std::optional<Grounds> grounds; ///< where text is to be read over it
    std::vector<overlay::Box> faces;
};

/// `finders` may be null: faces are not looked for. Any number of threads may ask at once.
KeyframeLook look_at(DecodedPicture const& picture, VideoTrack const& video, bool with_grounds,
                     Spares<FaceFinder>* finders);

} // namespace tabard::pipeline
