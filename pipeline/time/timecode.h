#pragma once
#include "overlay/base/result.h"
#include "pipeline/time/time.h"

#include <optional>
#include <string>
#include <string_view>

namespace tabard::pipeline {

/// How frames are labelled at a rate (SMPTE ST 12-1). Drop-frame exists at 30000/1001 and 60000/1001 alone: it leaves
/// out labels, never pictures.
struct TimecodeFormat {
    FrameRate rate;
    bool drop_frame = false;
    friend bool operator==(TimecodeFormat, TimecodeFormat) = default;
    /// Labels a second: 30 at 30000/1001.
    constexpr std::int64_t labels_per_second() const { return (rate.num + rate.den - 1) / rate.den; }
};

/// Whether labels may drop frames at this rate.
bool has_drop_frame(FrameRate rate);

/// The label of a frame, "01:00:00;00" where it drops frames, else "01:00:00:00". Hours go on past 23. `frame` >= 0.
std::string timecode_label(std::int64_t frame, TimecodeFormat format);
/// The frame of a label. Fails with invalid_input where no frame has it, and names the next label that exists.
/// A semicolon before the frames asks for drop-frame.
Result<std::int64_t> timecode_frame(std::string_view label, FrameRate rate);

/// Reads "1:02:03.5", "2:03.5", "63.5" (seconds; any number of decimals, to the nearest flick) and, where the rate is
/// known, labels with frames "0:02:03:12" and "0:02:03;12". A leading minus is allowed. Fails with invalid_input.
Result<Time> parse_time(std::string_view text, std::optional<FrameRate> rate = std::nullopt);
/// Whether the text is a label with frames, so that reading it takes a rate.
bool has_frames(std::string_view text);

/// "1:02:03.500", "2:03.500" with `decimals` places (rounded halves away from zero).
std::string print_time(Time time, int decimals = 3);
/// The same with as few decimals as parse_time() needs to give exactly this Time back.
std::string print_time_exact(Time time);

/// Reads "25", "29.97", "30000/1001", "23.976", "59.94". The usual decimal names of the /1.001 rates mean these
/// exactly.
Result<FrameRate> parse_frame_rate(std::string_view text);
std::string print_frame_rate(FrameRate rate); ///< "25", "30000/1001"

} // namespace tabard::pipeline
