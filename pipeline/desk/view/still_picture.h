#pragma once
#include "pipeline/desk/server/exchange.h"
#include "pipeline/desk/view/lesson_view.h"

#include <filesystem>
#include <mutex>
#include <optional>

namespace tabard::pipeline {

struct StillRequest {
    Time at{0};
    bool plain = false;       ///< without its overlays
    std::optional<int> width; ///< in pixels, where the film has more
};

/// Exact frames of the film. Thread-safe; one is made at a time: a decoder of large frames holds some hundred
/// megabytes.
class Stills {
public:
    /// `still`: a PNG as `tabard still` writes it.
    Answer picture(DrawnLesson const& drawn, StillRequest const& request);
    /// A frame of another film, which has no overlays.
    Answer frame(std::filesystem::path const& film, MediaInfo const& headers, StillRequest const& request);

private:
    Answer made(std::filesystem::path const& film, Time at, SceneRuns const& runs, Look const& look,
                std::optional<int> width);

    std::mutex m_making;
};

/// A picture of `width` pixels, each the mean of what it covers. As it is where it has no more.
overlay::Bitmap scaled_down(overlay::Bitmap picture, int width);

} // namespace tabard::pipeline
