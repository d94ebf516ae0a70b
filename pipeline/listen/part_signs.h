#pragma once
#include "pipeline/listen/align.h"
#include "pipeline/listen/second_reading.h"

#include <array>
#include <cstddef>
#include <string_view>

namespace tabard::pipeline {

/// What tells a part that was found where it is played from one that only seems to be.
enum class Sign {
    written,  ///< the share of its beats that sound as written: 0.5 to 1
    phase,    ///< nats over the best reading that lies up to a bar away: 0 to 10
    path,     ///< nats over the best one that goes through the chart another way: -2 to 6
    again,    ///< 1 where a second reading has a change at another time
    interval, ///< by how much the tempo of one interval differs from the others', natural logarithm: 0 to 0.15
};
inline constexpr std::array<std::string_view, 5> kSignNames{"written", "phase", "path", "again", "interval"};

/// The signs of one part, each kept within the bounds beyond which more of it says nothing.
struct PartSigns {
    std::array<double, kSignNames.size()> values{};
    double operator[](Sign sign) const { return values[static_cast<std::size_t>(sign)]; }
    double& operator[](Sign sign) { return values[static_cast<std::size_t>(sign)]; }
};

/// The interval from one change to a later one whose tempo differs most from the part's.
struct OddInterval {
    int first_beat = 0;
    int end_beat = 0;
    double faster = 1; ///< its tempo, times the others'
};
/// 1 where fewer than three intervals can be compared, or where the author has said how free the playing is.
OddInterval odd_interval(ExpectedPart const& part, AlignedPart const& found);

/// How many times as fast a part is as the author's tempo; 1 where there is none.
double times_as_fast(ExpectedPart const& part, AlignedPart const& found);

/// Of a part that was found.
PartSigns signs_of(ExpectedPart const& part, AlignedPart const& found, SecondReading const& second);

} // namespace tabard::pipeline
