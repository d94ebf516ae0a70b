#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/media_info.h"
#include "pipeline/media/picture.h"

#include <cstddef>
#include <functional>
#include <span>
#include <stop_token>

namespace tabard::pipeline {

/// A picture that needs no other to be decoded.
struct KeyPicture {
    PictureView view; ///< gone after the call
    Time time{0};     ///< film time that it is shown at
    std::size_t coded_bytes = 0;
};

/// Says whether to go on.
using KeyPictureWatcher = std::function<bool(KeyPicture const&)>;

/// A glance over a film: decodes the pictures that stand alone at or before some places in it, each once, and nothing
/// between; for measuring only, since block edges are left unsmoothed. Always the same ones for the same file. `film`
/// are its headers, with video; `percent` are places in its length, in the order in which they are visited. Errors:
/// decode if none can be decoded; interrupted.
Result<void> look_at_key_pictures(MediaInfo const& film, std::span<int const> percent, KeyPictureWatcher const& watcher,
                                  std::stop_token stop = {});

} // namespace tabard::pipeline
