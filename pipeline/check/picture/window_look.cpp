#include "pipeline/check/picture/window_look.h"

#include "pipeline/check/picture/light.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace tabard::pipeline {
namespace {

constexpr Time kMotionStep{kFlicksPerSecond / 12}; // a tenth of a second at 30 frames: three of them

} // namespace

Result<WindowLook> look_at_window(MediaReader& reader, VideoTrack const& video, FilmSpan const& window,
                                  std::function<void(Time)> const& at)
{
    TRY_VOID(reader.seek(window.in));
    WindowLook look;
    FlashMeter flashes;
    std::optional<Grid> last;
    Time last_time{0};
    std::array<float, kGridCells> moved{};
    int steps = 0;
    std::int64_t second = -1;
    while (true) {
        TRY_ASSIGN(auto const picture, reader.next());
        if (!picture || picture->time() >= window.out)
            break;
        Time const time = picture->time();
        auto const grid = measure_grid(picture->view(), video.orientation);
        flashes.add(time, displayed(grid, video.colour));
        if (last && time - last_time < kMotionStep)
            continue;
        if (second != time.count() / kFlicksPerSecond) {
            second = time.count() / kFlicksPerSecond;
            moved.fill(0);
            steps = 0;
            if (at)
                at(time);
        }
        if (last) {
            if (++steps == 1)
                look.seconds.push_back({second, {}});
            auto& motion = look.seconds.back().motion;
            for (std::size_t i = 0; i < kGridCells; ++i) {
                moved[i] += std::abs(grid[i].luma - (*last)[i].luma);
                motion[i] = static_cast<std::uint8_t>(std::min(255.0F, 8 * moved[i] / static_cast<float>(steps)));
            }
        }
        last = grid;
        last_time = time;
    }
    look.flashes = flashes.spans();
    return look;
}

} // namespace tabard::pipeline
