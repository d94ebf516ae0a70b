#pragma once
#include <compare>

namespace tabard::overlay {

/// A time signature. `beats` and `unit` as written: 6/8 is {6, 8}.
struct Meter {
    int beats = 4;
    int unit = 4;
    friend auto operator<=>(Meter const&, Meter const&) = default;

    /// 6/8, 9/8 and 12/8 are felt in groups of three: the tempo counts the group (common practice, no published
    /// source).
    constexpr bool compound() const { return unit == 8 && beats > 3 && beats % 3 == 0; }
    /// How many tempo pulses a bar has: 4 in 4/4, 2 in 6/8.
    constexpr int pulses() const { return compound() ? beats / 3 : beats; }
};

} // namespace tabard::overlay
