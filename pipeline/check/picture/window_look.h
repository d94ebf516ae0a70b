#pragma once
#include "pipeline/check/picture/flash_meter.h"
#include "pipeline/check/picture/grid.h"
#include "pipeline/check/picture/stillness.h"
#include "pipeline/media/read/media_reader.h"

#include <array>
#include <cstdint>
#include <functional>
#include <vector>

namespace tabard::pipeline {

/// What moves and what flashes in one window.
struct WindowLook {
    struct Second {
        std::int64_t second = 0;
        std::array<std::uint8_t, kGridCells> motion{};
    };
    std::vector<Second> seconds;
    std::vector<FlashSpan> flashes;
};

/// Looks at every picture of `window`. `at` is told each new second; may be empty. Errors: as MediaReader.
Result<WindowLook> look_at_window(MediaReader& reader, VideoTrack const& video, FilmSpan const& window,
                                  std::function<void(Time)> const& at = {});

} // namespace tabard::pipeline
