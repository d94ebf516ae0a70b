#include "tests/support/performance/score.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>
#include <span>
#include <vector>

namespace tabard::tests {

double beat_f_measure(std::span<double const> truth, std::span<double const> estimate, double tolerance)
{
    // Both rise, so taking the earliest free partner for each truth is a largest one-to-one matching.
    std::size_t hits = 0;
    std::size_t next = 0;
    for (double const beat : truth) {
        while (next < estimate.size() && estimate[next] < beat - tolerance)
            ++next;
        if (next < estimate.size() && estimate[next] <= beat + tolerance) {
            ++hits;
            ++next;
        }
    }
    double const both = static_cast<double>(truth.size() + estimate.size());
    return both > 0 ? 2 * static_cast<double>(hits) / both : 1;
}

bool is_watched(pipeline::ExpectedPart const& part, std::size_t span)
{
    bool const one_chord =
        std::ranges::all_of(part.spans, [&](auto const& one) { return one.chord == part.spans.front().chord; });
    return part.changes(span) || (one_chord && part.spans[span].first_beat % part.beats_per_bar == 0);
}

std::optional<double> error_of(pipeline::ExpectedPart const& part, PlayedPart const& played, std::size_t span,
                               double seconds)
{
    if (!played.sounded(span))
        return std::nullopt;
    double error = std::abs(seconds - played.span_starts[span]);
    if (played.passed[span])
        error =
            std::min(error, std::abs(seconds - played.beats[static_cast<std::size_t>(part.spans[span].first_beat)]));
    return error;
}

std::vector<double> played_beats(std::vector<double> const& beats)
{
    std::vector<double> result;
    for (std::size_t n = 0; n + 1 < beats.size(); ++n)
        if (beats[n + 1] > beats[n])
            result.push_back(beats[n]);
    return result;
}

void Score::add(Performance const& played, pipeline::Alignment const& heard)
{
    std::vector<double> truth;
    std::vector<double> estimate;
    for (std::size_t part = 0; part < played.parts.size(); ++part) {
        auto const& really = played.parts[part];
        auto const& found = heard.parts[part];
        std::ranges::copy(played_beats(really.beats), std::back_inserter(truth));
        wrong_played += static_cast<int>(really.wrong.size());
        for (std::size_t span = 0; span < really.span_starts.size(); ++span) {
            auto const error =
                error_of(played.chart[part], really, span, found.found ? found.spans[span].seconds : 1e3);
            if (played.chart[part].changes(span) && error)
                change_errors.push_back(*error);
            if (found.found && found.spans[span].chord.fit == pipeline::Fit::differs) {
                ++wrong_said;
                wrong_right += std::ranges::count(really.wrong, static_cast<int>(span)) > 0;
            }
        }
        if (found.found)
            std::ranges::copy(played_beats(found.beats), std::back_inserter(estimate));
    }
    std::ranges::sort(truth);
    std::ranges::sort(estimate);
    beat_f.push_back(beat_f_measure(truth, estimate));
}

double Score::within(double seconds) const
{
    auto const near = std::ranges::count_if(change_errors, [=](double error) { return error <= seconds; });
    return static_cast<double>(near) / static_cast<double>(change_errors.size());
}

double Score::quantile(double share) const
{
    auto sorted = change_errors;
    std::ranges::sort(sorted);
    return sorted[static_cast<std::size_t>(share * static_cast<double>(sorted.size() - 1))];
}

double Score::mean_beat_f() const
{
    return std::accumulate(beat_f.begin(), beat_f.end(), 0.0) / static_cast<double>(beat_f.size());
}

} // namespace tabard::tests
