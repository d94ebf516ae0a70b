#pragma once
#include "overlay/base/result.h"

#include <compare>
#include <cstdint>
#include <string>
#include <string_view>

namespace tabard::overlay {

/// Beats or pulses that begin a group and weigh more: bit n for number n.
using GroupStarts = std::uint32_t;

/// False for numbers that have no bit.
constexpr bool begins_group(GroupStarts groups, int number)
{
    return number >= 0 && number < 32 && (groups >> number & 1U) != 0;
}

/// Most beats of a bar.
constexpr int kMostBeats = 16;

/// A time signature. `beats` and `unit` as written: 6/8 is {6, 8}.
struct Meter {
    int beats = 4;
    int unit = 4;
    GroupStarts written = 0; ///< beats, from 0, that begin a group where the author says so (3+2/4); 0: not said
    friend auto operator<=>(Meter const&, Meter const&) = default;

    /// Reads "4/4" and, as scores print it, a sum over one unit: "2+2+3/8", "3 + 2/4". Fails with invalid_input: which
    /// part, and why.
    static Result<Meter> parse(std::string_view text);
    std::string text() const; ///< parse(text()) gives the same meter

    /// 6/8, 9/8, 12/8 and 15/8 are felt in groups of three, unless other groups are written: the tempo counts the group
    /// (common practice, no published source).
    constexpr bool compound() const
    {
        return unit == 8 && beats > 3 && beats % 3 == 0 && (written == 0 || written == threes());
    }
    /// How many tempo pulses a bar has: 4 in 4/4, 2 in 6/8. Groups that are not all of three change nothing: the tempo
    /// of 2+2+3/8 counts eighths, seven to a bar.
    constexpr int pulses() const { return compound() ? beats / 3 : beats; }

    /// Beats that begin a group: the written ones; else 3+2 where there are five, 2+2+3 in 7/8, threes in compound
    /// meters; else every beat, so that all weigh alike (common practice, no published source).
    constexpr GroupStarts group_starts() const
    {
        if (written != 0)
            return written;
        if (compound())
            return threes();
        if (beats == 5)
            return 0b01001;
        if (beats == 7 && unit >= 8)
            return 0b0010101;
        return every();
    }
    constexpr bool begins_group(int beat) const { return overlay::begins_group(group_starts(), beat); }
    /// Pulses that begin a group, where some do and some do not; 0 where all weigh alike (4/4, 6/8).
    constexpr GroupStarts pulse_groups() const { return compound() || group_starts() == every() ? 0 : group_starts(); }

private:
    constexpr GroupStarts every() const { return beats >= 32 ? ~GroupStarts{0} : (GroupStarts{1} << beats) - 1; }
    constexpr GroupStarts threes() const { return 0x49249249U & every(); }
};

} // namespace tabard::overlay
