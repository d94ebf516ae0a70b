#include "pipeline/listen/stroke_grid.h"

#include "pipeline/listen/onset_novelty.h"

#include <algorithm>
#include <cmath>
#include <span>

namespace tabard::pipeline {

namespace {

constexpr double kStep = kNoveltyStep;
constexpr double kShortestStep = 0.14; ///< seconds between the quickest strokes
constexpr double kLongestStep = 0.75;

/// How alike the strokes are to themselves `lag` values later, for each lag.
std::vector<double> self_likeness(std::vector<float> const& strength, std::size_t lags)
{
    // Strokes are played to within some 10 ms: a little blur lets them meet.
    std::vector<double> smooth(strength.size());
    double mean = 0;
    for (std::size_t n = 2; n + 2 < strength.size(); ++n) {
        smooth[n] = static_cast<double>(strength[n - 2] + 2 * strength[n - 1] + 3 * strength[n] + 2 * strength[n + 1] +
                                        strength[n + 2]) /
                    9;
        mean += smooth[n] / static_cast<double>(strength.size());
    }
    double energy = 1e-9;
    for (double& value : smooth) {
        value -= mean;
        energy += value * value;
    }
    std::vector<double> likeness(lags);
    for (std::size_t lag = 1; lag < std::min(lags, smooth.size()); ++lag) {
        double sum = 0;
        for (std::size_t n = lag; n < smooth.size(); ++n)
            sum += smooth[n] * smooth[n - lag];
        likeness[lag] = sum / energy * static_cast<double>(smooth.size()) / static_cast<double>(smooth.size() - lag);
    }
    return likeness;
}

} // namespace

std::vector<double> even_steps(std::vector<float> const& strength)
{
    constexpr int kRepeats = 12;
    auto const likeness = self_likeness(strength, static_cast<std::size_t>((kRepeats + 0.5) * kLongestStep / kStep));
    struct Pulse {
        double seconds;
        double score;
    };
    std::vector<Pulse> pulses;
    for (double seconds = kShortestStep; seconds < kLongestStep; seconds *= 1.005) {
        double sum = 0;
        int count = 0;
        for (int times = 1; times <= kRepeats; ++times) {
            auto const lag = static_cast<std::size_t>(std::lround(seconds * times / kStep));
            if (lag + 1 >= likeness.size())
                break;
            sum += std::max({likeness[lag - 1], likeness[lag], likeness[lag + 1]});
            ++count;
        }
        pulses.push_back({seconds, count > 0 ? sum / count : 0.0});
    }
    constexpr double kShare = 0.3;  // of the best
    constexpr double kLeast = 0.03; // likeness of what repeats at all
    double const best = std::ranges::max_element(pulses, {}, &Pulse::score)->score;
    std::vector<double> result;
    for (std::size_t n = 4; n + 4 < pulses.size(); ++n) {
        auto const around = std::span(pulses).subspan(n - 4, 9);
        if (pulses[n].score >= std::ranges::max_element(around, {}, &Pulse::score)->score &&
            pulses[n].score > kShare * best && pulses[n].score > kLeast)
            result.push_back(pulses[n].seconds);
    }
    return result;
}

std::vector<double> follow_steps(std::vector<float> const& strength, double pulse)
{
    constexpr float kEvenness = 60; // nats for a beat that comes a factor of e early, squared
    auto const low = static_cast<std::ptrdiff_t>(std::floor(0.85 * pulse / kStep));
    auto const high = static_cast<std::ptrdiff_t>(std::ceil(1.18 * pulse / kStep));
    std::vector<float> costs;
    for (auto lag = low; lag <= high; ++lag) {
        auto const off = static_cast<float>(std::log(static_cast<double>(lag) * kStep / pulse));
        costs.push_back(kEvenness * off * off);
    }
    std::vector<float> scores(strength.size());
    std::vector<std::ptrdiff_t> before(strength.size(), -1);
    for (std::ptrdiff_t n = 0; n < std::ssize(strength); ++n) {
        float best = 0;
        for (auto lag = low; lag <= std::min(high, n); ++lag) {
            float const score = scores[static_cast<std::size_t>(n - lag)] - costs[static_cast<std::size_t>(lag - low)];
            if (score > best) {
                best = score;
                before[static_cast<std::size_t>(n)] = n - lag;
            }
        }
        scores[static_cast<std::size_t>(n)] = best + strength[static_cast<std::size_t>(n)];
    }
    std::vector<double> beats;
    auto const end = scores.size() > static_cast<std::size_t>(high) ? scores.end() - high : scores.begin();
    if (end == scores.end())
        return beats;
    for (auto at = std::max_element(end, scores.end()) - scores.begin(); at >= 0;
         at = before[static_cast<std::size_t>(at)])
        beats.push_back(static_cast<double>(at) * kStep);
    std::ranges::reverse(beats);
    return beats;
}

std::vector<double> places_among(std::vector<double> const& grid, std::vector<double> const& instants)
{
    std::vector<double> places;
    for (double const seconds : instants) {
        auto const next = std::ranges::upper_bound(grid, seconds) - grid.begin();
        auto const n = static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(next - 1, 0, std::ssize(grid) - 2));
        places.push_back(static_cast<double>(n) + (seconds - grid[n]) / (grid[n + 1] - grid[n]));
    }
    return places;
}

} // namespace tabard::pipeline
