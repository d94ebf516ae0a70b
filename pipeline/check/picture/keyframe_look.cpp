#include "pipeline/check/picture/keyframe_look.h"

namespace tabard::pipeline {

KeyframeLook look_at(DecodedPicture const& picture, VideoTrack const& video, bool with_grounds, FaceFinders* finders)
{
    KeyframeLook look;
    look.time = picture.time();
    look.grid = measure_grid(picture.view(), video.orientation);
    look.shown = displayed(look.grid, video.colour);
    if (with_grounds)
        look.grounds = grounds(look.grid, measure_ranges(picture.view(), video.orientation), video.colour);
    if (finders)
        look.faces = finders->find(picture.view(), video);
    return look;
}

} // namespace tabard::pipeline
