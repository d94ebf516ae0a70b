#include "pipeline/listen/sparse_pins.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace tabard::pipeline {

namespace {

/// Where a beat is to be, and how exactly. Without a tolerance it is fixed.
struct Target {
    double seconds = 0;
    double tolerance = 0;
    bool fixed() const { return tolerance <= 0; }
};

/// A stretch of the part that is played without a stop: `targets[n]` belongs to beat `first_beat` + n.
struct Run {
    int first_beat = 0;
    std::vector<Target> targets;
};

/// Straight lines through knots, which are numbers of targets, rising.
class Lines {
public:
    explicit Lines(std::vector<Target> const& targets) : m_targets(targets), m_knots{0, targets.size() - 1}
    {
        for (std::size_t n = 1; n + 1 < targets.size(); ++n)
            if (targets[n].fixed())
                m_knots.insert(m_knots.end() - 1, n);
        fit();
    }

    /// Adds knots where the lines are worst until they are good, then drops those that are not needed.
    void refine()
    {
        for (auto misses = worst_misses(); misses.all > 1 && misses.free > 0; misses = worst_misses()) {
            m_knots.insert(std::ranges::lower_bound(m_knots, misses.free_number), misses.free_number);
            fit();
        }
        for (std::size_t n = 1; n + 1 < m_knots.size();) {
            auto const before = *this;
            m_knots.erase(m_knots.begin() + static_cast<std::ptrdiff_t>(n));
            fit();
            if (m_targets[before.m_knots[n]].fixed() || worst_misses().all > 1) {
                m_knots = before.m_knots;
                m_seconds = before.m_seconds;
                ++n;
            }
        }
    }

    std::vector<std::size_t> const& knots() const { return m_knots; }
    double seconds(std::size_t knot) const { return m_seconds[knot]; }

private:
    /// In tolerances.
    struct Misses {
        double all = 0;
        double free = 0;             ///< of the targets that are no knots
        std::size_t free_number = 0; ///< and which one that is
    };

    /// Weighted least squares over the knots' times: the sum is made of hats over neighbouring knots, so the equations
    /// have three diagonals.
    void fit()
    {
        std::size_t const size = m_knots.size();
        std::vector<double> diagonal(size), above(size), right(size);
        for (std::size_t k = 0; k + 1 < size; ++k) {
            std::size_t const end = m_knots[k + 1] + (k + 2 == size ? 1 : 0);
            for (std::size_t n = m_knots[k]; n < end; ++n) {
                double const later = share(k, n);
                double const earlier = 1 - later;
                double const weight = weight_of(m_targets[n]);
                diagonal[k] += weight * earlier * earlier;
                diagonal[k + 1] += weight * later * later;
                above[k] += weight * earlier * later;
                right[k] += weight * earlier * m_targets[n].seconds;
                right[k + 1] += weight * later * m_targets[n].seconds;
            }
        }
        for (std::size_t k = 1; k < size; ++k) {
            double const factor = above[k - 1] / diagonal[k - 1];
            diagonal[k] -= factor * above[k - 1];
            right[k] -= factor * right[k - 1];
        }
        m_seconds.resize(size);
        for (std::size_t k = size; k-- > 0;)
            m_seconds[k] = (right[k] - (k + 1 < size ? above[k] * m_seconds[k + 1] : 0.0)) / diagonal[k];
        for (std::size_t k = 0; k < size; ++k)
            if (m_targets[m_knots[k]].fixed())
                m_seconds[k] = m_targets[m_knots[k]].seconds;
    }

    static double weight_of(Target const& target)
    {
        constexpr double kFixed = 1e-6; // seconds
        return 1 / std::pow(target.fixed() ? kFixed : target.tolerance, 2);
    }

    /// How far target `n` lies on the way from knot `k` to the next, 0 to 1.
    double share(std::size_t k, std::size_t n) const
    {
        return static_cast<double>(n - m_knots[k]) / static_cast<double>(m_knots[k + 1] - m_knots[k]);
    }

    Misses worst_misses() const
    {
        Misses worst;
        for (std::size_t k = 0; k + 1 < m_knots.size(); ++k)
            for (std::size_t n = m_knots[k]; n <= m_knots[k + 1]; ++n) {
                if (m_targets[n].fixed())
                    continue;
                double const line = std::lerp(m_seconds[k], m_seconds[k + 1], share(k, n));
                double const miss = std::abs(line - m_targets[n].seconds) / m_targets[n].tolerance;
                worst.all = std::max(worst.all, miss);
                if (n != m_knots[k] && n != m_knots[k + 1] && miss > worst.free) {
                    worst.free = miss;
                    worst.free_number = n;
                }
            }
        return worst;
    }

    std::vector<Target> const& m_targets;
    std::vector<std::size_t> m_knots;
    std::vector<double> m_seconds; ///< a knot
};

/// A change is to be where it is heard, even if that is half a beat early.
std::vector<Target> targets_of(ExpectedPart const& part, AlignedPart const& found, PinTolerances tolerances)
{
    constexpr double kUnseen = 0.15; // of a beat
    std::vector<Target> targets;
    for (std::size_t n = 0; n < found.beats.size(); ++n) {
        double const length = n + 1 < found.beats.size() ? found.beats[n + 1] - found.beats[n] : 0.0;
        targets.push_back({found.beats[n], std::max(tolerances.beat, kUnseen * length)});
    }
    for (std::size_t n = 0; n < part.spans.size(); ++n) {
        if (part.changes(n))
            targets[static_cast<std::size_t>(part.spans[n].first_beat)] = {
                found.spans[n].seconds, found.spans[n].passed ? tolerances.beat : tolerances.change};
    }
    for (BeatPin const& pin : part.pins)
        targets[static_cast<std::size_t>(pin.beat)] = {pin.seconds, 0};
    return targets;
}

/// The part without its deviations. The last beat of a run is where the playing stops, the first of the next where it
/// goes on. What is left out before the first beat or after the last needs no pin.
std::vector<Run> runs_of(std::vector<Target> const& targets, std::vector<Deviation> const& deviations, double tolerance)
{
    std::vector<Run> runs;
    std::size_t first = 0;
    auto const run = [&](std::size_t end) {
        return Run{
            static_cast<int>(first),
            {targets.begin() + static_cast<std::ptrdiff_t>(first), targets.begin() + static_cast<std::ptrdiff_t>(end)}};
    };
    for (Deviation const& deviation : deviations) {
        auto const stop = static_cast<std::size_t>(std::max(deviation.beat, 0));
        if (stop <= first || stop >= targets.size() ||
            static_cast<std::size_t>(deviation.next_beat) + 1 >= targets.size())
            continue;
        runs.push_back(run(stop));
        runs.back().targets.push_back({deviation.from, tolerance});
        first = static_cast<std::size_t>(deviation.next_beat);
    }
    runs.push_back(run(targets.size()));
    return runs;
}

} // namespace

std::vector<BeatPin> sparse_pins(ExpectedPart const& part, AlignedPart const& found, PinTolerances tolerances)
{
    std::vector<BeatPin> pins;
    for (Run const& run : runs_of(targets_of(part, found, tolerances), found.deviations, tolerances.change)) {
        Lines lines(run.targets);
        lines.refine();
        for (std::size_t k = 0; k < lines.knots().size(); ++k) {
            int const beat = run.first_beat + static_cast<int>(lines.knots()[k]);
            double seconds = lines.seconds(k);
            if (k == 0 && !pins.empty()) {
                pins.back().goes_on = {beat, std::max(seconds, pins.back().seconds)};
                continue;
            }
            if (!pins.empty()) { // times of a tempo map rise
                double const before = pins.back().goes_on ? pins.back().goes_on->seconds : pins.back().seconds;
                int const from = pins.back().goes_on ? pins.back().goes_on->beat : pins.back().beat;
                seconds = std::max(seconds, before + 0.02 * (beat - from));
            }
            pins.push_back({beat, seconds, {}});
        }
    }
    return pins;
}

} // namespace tabard::pipeline
