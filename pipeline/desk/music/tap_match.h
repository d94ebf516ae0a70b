#pragma once
#include <cstddef>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// A place of a chart that is to be tapped.
struct TapTarget {
    double pulses = 0;     ///< tempo pulses after the first beat of bar 1
    bool optional = false; ///< nothing new sounds there (N.C.): some tap it, some do not
};

/// One pass of tapping: seconds of film time, rising, without taps that bounced.
using TapPass = std::vector<double>;

/// What one pass did.
struct PassReport {
    std::size_t taps = 0;             ///< as they came, with those that bounced
    std::size_t bounced = 0;          ///< a second tap within kBounce
    std::vector<std::size_t> missing; ///< targets between its first and its last tap that it has no tap for
    std::vector<double> extra;        ///< taps that belong to no target, in seconds
    std::size_t before = 0;           ///< extra taps before the first target
    std::size_t after = 0;            ///< extra taps after the last one
};

/// Taps of one target.
struct TappedTarget {
    std::vector<double> taps; ///< seconds, one a pass that has it
    double seconds = 0;       ///< their middle
};

/// Taps of several passes, put to the targets.
struct TapMatch {
    std::vector<std::optional<TappedTarget>> targets; ///< one a target; none: nobody tapped it
    std::vector<PassReport> passes;
    double spread = 0; ///< seconds: standard deviation of one tap; 0 for a single pass
    double cost = 0;   ///< for comparing readings of the same taps: lower fits better
};

/// Two taps of one pass that come closer are one: no hand means a beat by them (260 a minute are 230 ms).
constexpr double kBounce = 0.11;

/// Sorts a pass and takes out what bounced, counting it in `bounced`.
TapPass cleaned(std::vector<double> taps, std::size_t& bounced);

/// Puts each tap to its target. A pass may miss targets, have taps too many, begin late and end early; its tempo may
/// drift. `last_is_end`: the last target is the end of the bars, which need not be tapped. `pulse_seconds`: about what
/// a pulse lasts, where somebody said so.
TapMatch match_taps(std::vector<std::vector<double>> const& passes, std::vector<TapTarget> const& targets,
                    bool last_is_end, std::optional<double> pulse_seconds = {});

} // namespace tabard::pipeline
