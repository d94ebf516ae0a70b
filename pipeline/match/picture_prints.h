#pragma once
#include "overlay/base/result.h"
#include "pipeline/time/edit_map.h"

#include <array>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <stop_token>
#include <vector>

namespace tabard::pipeline {

class MediaReader;

/// A picture's brightness, brought to 32 by 18 samples: enough to tell pictures of one film apart, little enough to
/// keep all of them (13 MB for 15 minutes).
constexpr std::size_t kPrintWidth = 32;
constexpr std::size_t kPrintHeight = 18;
using PicturePrint = std::array<std::uint8_t, kPrintWidth * kPrintHeight>;

/// Mean difference of two pictures, in grey levels.
float print_distance(PicturePrint const& a, PicturePrint const& b);

/// What is on screen in each frame of `rate` from film time 0 on. `progress` hears the share done, 0 to 1. Errors: as
/// MediaReader::open(); interrupted.
Result<std::vector<PicturePrint>> picture_prints(std::filesystem::path const& film, FrameRate rate,
                                                 std::stop_token stop = {},
                                                 std::function<void(double)> const& progress = {});

/// A picture and when it is on screen.
struct TimedPrint {
    Interval shown;
    PicturePrint print;
};

/// A film of which only some seconds here and there are looked at.
class PrintReader {
public:
    /// Errors as MediaReader::open().
    static Result<PrintReader> open(std::filesystem::path const& film, std::stop_token stop = {});
    PrintReader(PrintReader&&) noexcept;
    PrintReader& operator=(PrintReader&&) noexcept;
    ~PrintReader();

    FrameRate rate() const;
    /// The pictures that are on screen within `stretch`, rising. Errors: interrupted; as MediaReader::next().
    Result<std::vector<TimedPrint>> read(Interval stretch);

private:
    explicit PrintReader(std::unique_ptr<MediaReader> reader);
    std::unique_ptr<MediaReader> m_reader;
};

} // namespace tabard::pipeline
