#pragma once
#include "pipeline/listen/align.h"
#include "tests/support/performance/performance.h"

#include <optional>
#include <span>
#include <vector>

namespace tabard::tests {

/// F-measure of beats: one-to-one, within `tolerance` seconds inclusive (mir_eval.beat.f_measure, tolerance 0.07).
double beat_f_measure(std::span<double const> truth, std::span<double const> estimate, double tolerance = 0.07);

/// What a viewer watches of a part: where its chord changes, and in a part of one chord where each bar begins.
bool is_watched(pipeline::ExpectedPart const& part, std::size_t span);

/// How far from where span `span` of a part sounds `seconds` is. On a beat that the pattern passes the beat and the
/// stroke are both right. None where it was skipped.
std::optional<double> error_of(pipeline::ExpectedPart const& part, PlayedPart const& played, std::size_t span,
                               double seconds);

/// The beats of a pass, those that were skipped left out, and without the end.
std::vector<double> played_beats(std::vector<double> const& beats);

/// How an alignment compares with what was played, summed over performances.
struct Score {
    std::vector<double> change_errors; ///< seconds, absolute, one a change that the chart writes and that is played
    std::vector<double> beat_f;        ///< one a performance
    int wrong_played = 0;
    int wrong_said = 0;
    int wrong_right = 0;

    void add(Performance const& played, pipeline::Alignment const& heard);
    double within(double seconds) const; ///< share of the changes
    double quantile(double share) const; ///< of the errors, seconds
    double mean_beat_f() const;
};

} // namespace tabard::tests
