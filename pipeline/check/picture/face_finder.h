#pragma once
#include "overlay/base/result.h"
#include "overlay/drawing/box.h"
#include "pipeline/media/media_info.h"

#include <filesystem>
#include <memory>
#include <vector>

namespace tabard::pipeline {

/// Finds faces that look at the camera, by OpenCV's cascade of Haar features (Viola and Jones 2001).
class FaceFinder {
public:
    /// Fails with not_found where the trained cascade is not installed (Debian: opencv-data).
    static Result<FaceFinder> create();
    FaceFinder(FaceFinder&&) noexcept;
    FaceFinder& operator=(FaceFinder&&) noexcept;
    ~FaceFinder();

    /// Boxes in shares of the displayed picture's width and height. Faces under a tenth of the height are not found.
    std::vector<overlay::Box> find(PictureView const& picture, VideoTrack const& video);

private:
    struct Impl;
    explicit FaceFinder(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
