#include "pipeline/listen/rise_start.h"

#include "pipeline/listen/rise_energy.h"
#include "pipeline/sound/short_time_spectrum.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

namespace tabard::pipeline {

namespace {

constexpr std::ptrdiff_t kBefore = 10; ///< hops, 15 ms: longer, and what rang before has died away too much
constexpr std::ptrdiff_t kAfter = 30;  ///< hops, 44 ms: a strum of six strings

std::ptrdiff_t hop_at(double seconds) { return static_cast<std::ptrdiff_t>(seconds * kListenRate) / kRiseHop; }

double seconds_at(std::ptrdiff_t hop) { return static_cast<double>(hop * kRiseHop) / kListenRate; }

/// Nats by which a rise at each hop from `first` to `last` is likelier than none.
std::vector<double> rise_likelihoods(std::span<float const> rises, std::ptrdiff_t first, std::ptrdiff_t last)
{
    std::vector<double> sums{0}; // of the energies from `first - kBefore` on
    for (auto n = first - kBefore; n < last + kAfter; ++n) {
        double const energy =
            n >= 0 && n < std::ssize(rises) ? static_cast<double>(rises[static_cast<std::size_t>(n)]) : 0;
        sums.push_back(sums.back() + energy + 1e-10);
    }
    std::vector<double> result;
    for (auto n = first; n <= last; ++n) {
        auto const at = sums.begin() + (n - first);
        double const before = (at[kBefore] - at[0]) / kBefore;
        double const after = (at[kBefore + kAfter] - at[kBefore]) / kAfter;
        double const all = (at[kBefore + kAfter] - at[0]) / (kBefore + kAfter);
        result.push_back(after <= before ? 0.0
                                         : (kBefore + kAfter) * std::log(all) - kBefore * std::log(before) -
                                               kAfter * std::log(after));
    }
    return result;
}

} // namespace

double start_of_rise(std::span<float const> rises, double near)
{
    auto const first = hop_at(near) - 28; // 41 ms: a slow strum's novelty peaks with its last string
    auto const likelihoods = rise_likelihoods(rises, first, hop_at(near) + 14);
    return seconds_at(first + (std::ranges::max_element(likelihoods) - likelihoods.begin()));
}

std::optional<double> common_start(std::span<float const> rises, std::span<double const> near)
{
    constexpr std::ptrdiff_t kReach = 60; // hops
    constexpr std::ptrdiff_t kBlur = 6;   // hops
    constexpr double kDeviation = 2;      // hops, 3 ms: finer than strokes are played, as there are many
    constexpr double kShare = 0.6;        // of the likelihood: neighbouring energies are not independent
    constexpr double kElsewhere = 0.1;    // share of the strokes
    constexpr double kLeast = 0.01;       // nats: in noise a stroke says little, and many say enough
    constexpr auto kPlaces = static_cast<std::size_t>(2 * kReach + 1);
    constexpr double kLookedFor = 14; // hops, 20 ms: how far off the search for strokes is
    constexpr double kPeak = 7;       // hops, 10 ms: by which it is late, as it goes by their novelty
    std::vector<double> together(kPlaces);
    for (std::ptrdiff_t n = 0; n < std::ssize(together); ++n) {
        double const off = (static_cast<double>(n - kReach) + kPeak) / kLookedFor;
        together[static_cast<std::size_t>(n)] = -0.5 * off * off;
    }
    double strokes = 0;
    double within = 0; // seconds from the hop an instant lies in to itself
    for (double const seconds : near) {
        auto likelihoods = rise_likelihoods(rises, hop_at(seconds) - kReach, hop_at(seconds) + kReach);
        double const most = std::ranges::max(likelihoods);
        if (most < kLeast)
            continue;
        ++strokes;
        within += seconds - seconds_at(hop_at(seconds));
        for (double& value : likelihoods)
            value = std::exp(kShare * (value - most));
        double const all = std::accumulate(likelihoods.begin(), likelihoods.end(), 0.0);
        for (std::ptrdiff_t n = 0; n < std::ssize(together); ++n) {
            double blurred = 0;
            for (auto m = std::max<std::ptrdiff_t>(n - kBlur, 0); m <= std::min(n + kBlur, 2 * kReach); ++m) {
                double const off = static_cast<double>(m - n) / kDeviation;
                blurred += likelihoods[static_cast<std::size_t>(m)] * std::exp(-0.5 * off * off);
            }
            together[static_cast<std::size_t>(n)] += std::log(blurred / (2.507 * kDeviation * all) +
                                                              kElsewhere / static_cast<double>(kPlaces)); // sqrt(2 pi)
        }
    }
    if (strokes == 0)
        return std::nullopt;
    return seconds_at(std::ranges::max_element(together) - together.begin() - kReach) - within / strokes;
}

} // namespace tabard::pipeline
