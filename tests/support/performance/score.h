#pragma once
#include "pipeline/listen/align.h"
#include "tests/support/performance/performance.h"

#include <span>
#include <string>
#include <vector>

namespace tabard::tests {

/// F-measure of beats: one-to-one, within `tolerance` seconds inclusive (mir_eval.beat.f_measure, tolerance 0.07).
double beat_f_measure(std::span<double const> truth, std::span<double const> estimate, double tolerance = 0.07);

/// How an alignment compares with what was played, summed over performances.
struct Score {
    std::vector<double> change_errors; ///< seconds, absolute, one a change that the chart writes
    std::vector<double> beat_f;        ///< one a performance
    int wrong_played = 0;
    int wrong_said = 0;
    int wrong_right = 0;
    int parts = 0;
    int parts_found = 0;

    void add(Performance const& played, pipeline::Alignment const& heard);
    double within(double seconds) const; ///< share of the changes
    double quantile(double share) const; ///< of the errors, seconds
    double mean_beat_f() const;
    std::string row(std::string const& name) const;
    static std::string header();
};

} // namespace tabard::tests
