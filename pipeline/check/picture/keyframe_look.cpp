#include "pipeline/check/picture/keyframe_look.h"

namespace tabard::pipeline {

KeyframeLook look_at(DecodedPicture const& picture, VideoTrack const& video, bool with_grounds,
                     Spares<FaceFinder>* finders)
{
    KeyframeLook look;
    look.time = picture.time();
    look.grid = measure_grid(picture.view(), video.orientation);
    look.shown = displayed(look.grid, video.colour);
    if (with_grounds)
        look.grounds = grounds(look.grid, measure_ranges(picture.view(), video.orientation), video.colour);
    if (!finders)
        return look;
    auto finder = finders->take(FaceFinder::create);
    if (!finder) // although one could be made before: lone sightings are not believed anyway
        return look;
    look.faces = finder->find(picture.view(), video);
    finders->give_back(*std::move(finder));
    return look;
}

} // namespace tabard::pipeline
