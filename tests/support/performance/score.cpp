#include "tests/support/performance/score.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <span>
#include <string>
#include <vector>

#include <fmt/format.h>

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

void Score::add(Performance const& played, pipeline::Alignment const& heard)
{
    std::vector<double> truth;
    std::vector<double> estimate;
    for (std::size_t part = 0; part < played.parts.size(); ++part) {
        auto const& really = played.parts[part];
        auto const& found = heard.parts[part];
        truth.insert(truth.end(), really.beats.begin(), really.beats.end() - 1);
        ++parts;
        parts_found += found.found;
        wrong_played += static_cast<int>(really.wrong.size());
        for (std::size_t span = 0; span < really.span_starts.size(); ++span) {
            if (played.chart[part].changes(span))
                change_errors.push_back(found.found ? std::abs(found.spans[span].seconds - really.span_starts[span])
                                                    : 1e3);
            if (found.found && found.spans[span].chord.fit == pipeline::Fit::differs) {
                ++wrong_said;
                wrong_right += std::ranges::count(really.wrong, static_cast<int>(span)) > 0;
            }
        }
        if (found.found)
            estimate.insert(estimate.end(), found.beats.begin(), found.beats.end() - 1);
    }
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

std::string Score::header()
{
    return fmt::format("{:<34} {:>7} {:>7} {:>8} {:>7} {:>8} {:>6} {:>12}", "condition", "changes", "<=50ms", "median",
                       "p90", "worst", "beat F", "wrong P / R");
}

std::string Score::row(std::string const& name) const
{
    auto const share = [](int part, int whole) {
        return whole == 0 ? std::string("-") : fmt::format("{:.2f}", part / double(whole));
    };
    return fmt::format("{:<34} {:>7} {:>6.1f}% {:>6.1f}ms {:>5.0f}ms {:>6.0f}ms {:>6.2f} {:>5} / {:>4}", name,
                       change_errors.size(), 100 * within(0.05), 1000 * quantile(0.5), 1000 * quantile(0.9),
                       1000 * quantile(1), mean_beat_f(), share(wrong_right, wrong_said),
                       share(wrong_right, wrong_played));
}

} // namespace tabard::tests
