#pragma once
#include "pipeline/check/picture/contrast.h"
#include "pipeline/check/picture/face_finder.h"
#include "pipeline/check/picture/grid.h"
#include "pipeline/check/picture/light.h"
#include "pipeline/media/decoded_picture.h"

#include <memory>
#include <mutex>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// Finders of faces, one for each thread that wants one.
class FaceFinders {
public:
    /// Errors: as FaceFinder::create().
    static Result<std::unique_ptr<FaceFinders>> create()
    {
        TRY_ASSIGN(auto finder, FaceFinder::create());
        auto finders = std::make_unique<FaceFinders>();
        finders->m_idle.push_back(std::move(finder));
        return finders;
    }
    std::vector<overlay::Box> find(PictureView const& picture, VideoTrack const& video)
    {
        auto finder = take();
        if (!finder) // although one could be made before: lone sightings are not believed anyway
            return {};
        auto boxes = finder->find(picture, video);
        std::lock_guard const lock(m_mutex);
        m_idle.push_back(*std::move(finder));
        return boxes;
    }

private:
    Result<FaceFinder> take()
    {
        std::lock_guard const lock(m_mutex);
        if (m_idle.empty())
            return FaceFinder::create();
        auto finder = std::move(m_idle.back());
        m_idle.pop_back();
        return finder;
    }

    std::mutex m_mutex; // guards m_idle
    std::vector<FaceFinder> m_idle;
};

/// What one keyframe shows.
struct KeyframeLook {
    Time time{0};
    Grid grid;
    RgbGrid shown;
    std::optional<Grounds> grounds; ///< where text is to be read over it
    std::vector<overlay::Box> faces;
};

/// `finders` may be null: faces are not looked for. Any number of threads may ask at once.
KeyframeLook look_at(DecodedPicture const& picture, VideoTrack const& video, bool with_grounds, FaceFinders* finders);

} // namespace tabard::pipeline
