#pragma once
#include "overlay/base/result.h"
#include "pipeline/files/output_file.h"
#include "pipeline/media/write/film_writer.h"
#include "pipeline/render/compositor.h"
#include "pipeline/render/scene_runs.h"

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// Overlays that a viewer can choose.
struct SwitchableTrack {
    std::string title; ///< as players list it
    SceneRuns runs;
    Look look;
    bool shown_by_default = false;
};

/// A film to make: `footage` as it is, with its overlays as tracks beside it. One track is the default; one that would
/// show the same as another before it is left out.
struct SwitchableJob {
    std::filesystem::path footage;
    std::optional<VideoTrack>
        video;                    ///< of the footage, where its headers were read: cards are drawn while it is opened
    std::filesystem::path target; ///< Matroska
    Inputs inputs;                ///< as in FilmJob
    std::vector<SwitchableTrack> tracks;
    WriteOptions write; ///< title, chapters, location; no part, no encoder
    Existing existing = Existing::keep;
    /// Knows sound that was whole before. It gives way to the film on a disk that is nearly full.
    std::optional<std::filesystem::path> cache;
    std::function<void(double)> progress; ///< as in FilmJob
};

struct SwitchableReport {
    struct Track {
        std::string title;
        bool shown_by_default = false;
        std::size_t events = 0;
        std::int64_t bytes = 0; ///< of their texts
    };
    std::vector<Track> tracks;
    std::size_t fonts = 0;
    std::int64_t font_bytes = 0;
    std::int64_t pictures = 0;
    std::int64_t bytes = 0; ///< of the film
    std::vector<std::string> notes;
};

/// Makes the film without encoding anything: pictures, sound and what else Matroska holds are copied bit by bit, and
/// read again before the film gets its name. The target appears when it is whole, or not at all. Errors: as OutputFile
/// and copy_film(); unsupported for footage that is shown turned, which Matroska cannot say here; as
/// check_overlays_reach().
Result<SwitchableReport> render_switchable(SwitchableJob const& job);

/// Fails with invalid_input for a file that is not to be Matroska: no other container carries such tracks.
Result<void> check_switchable(std::filesystem::path const& target);

} // namespace tabard::pipeline
