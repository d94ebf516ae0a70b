#pragma once
#include "pipeline/check/picture/light.h"
#include "pipeline/time/time.h"

#include <memory>
#include <vector>

namespace tabard::pipeline {

/// Flashing that WCAG 2.x, success criterion 2.3.1, does not pass.
struct FlashSpan {
    Time in{0};
    Time out{0};
    bool red = false; ///< flashes of saturated red
    double share = 0; ///< the largest part of the picture that flashed at once, 0 to 1
    friend bool operator==(FlashSpan const&, FlashSpan const&) = default;
};

/// Looks for flashing in pictures given in order of time.
///
/// The rules, WCAG 2.x 2.3.1: a general flash is a pair of opposing changes of relative luminance by a tenth of its
/// maximum or more, where the darker state is below 0.80; a red flash a pair of opposing changes by more than 0.2 in
/// the CIE 1976 chromaticity diagram, where one state has R/(R+G+B) of 0.8 or more. Three flashes in any second pass;
/// so does flashing on a quarter or less of any window of a third of the picture's width and height (the criterion's
/// 341 x 256 pixels of 1024 x 768). ITU-R BT.1702 counts the same changes (20 cd/m2 below 160 cd/m2, on a display of
/// 200 cd/m2) but bears a quarter of the whole screen: what it refuses is refused here.
///
/// What counts is the combined area of what changes at once (both sources: "flashes occurring concurrently"): a cell's
/// change counts, in the picture where it is complete, where
/// - more than that quarter of a window changes the same way, in one picture or within a twelfth of a second, while
///   little changes the other way; or
/// - more than a quarter of a window changes in one picture, each cell all at once and to either side, while little
///   changed in the twelfth of a second before: fields that change places, as those of a chessboard.
/// So a pattern that moves past is texture and none: of it, some cells become lighter while as many become darker, a
/// few in each picture, or little by little. Seven changes in a second are more than three flashes.
///
/// WCAG leaves out fine balanced patterns whose squares are smaller than 0.1 degree. A cell is 0.6 degree wide (a
/// window is the 10 degree field): of squares from 0.1 to about 0.6 degree that change places it sees the mean, and
/// nothing.
class FlashMeter {
public:
    FlashMeter();
    FlashMeter(FlashMeter&&) noexcept;
    FlashMeter& operator=(FlashMeter&&) noexcept;
    ~FlashMeter();

    void add(Time time, RgbGrid const& picture);
    /// What has been found so far, in order of time.
    std::vector<FlashSpan> const& spans() const;

private:
    struct Impl;
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
