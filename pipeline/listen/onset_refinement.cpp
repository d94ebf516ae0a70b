#include "pipeline/listen/onset_refinement.h"

#include "pipeline/listen/onset_novelty.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace tabard::pipeline {

namespace {

constexpr double kNoveltyStep = static_cast<double>(kNoveltyHop) / kListenRate;
constexpr float kOnset = 5;         ///< nats for a clear onset
constexpr double kDeviation = 0.08; ///< of the reach: how far from its beat a change usually is
constexpr double kCap = 8;          ///< nats that being far from its beat may cost
constexpr double kApart = 0.08;     ///< seconds: nearer instants are the same stroke

struct Candidate {
    double seconds;
    double score;
};

} // namespace

double start_of_rise(std::span<float const> rises, double near)
{
    constexpr std::ptrdiff_t kWindow = 3;  // hops
    constexpr std::ptrdiff_t kBefore = 36; // hops: 52 ms
    constexpr std::ptrdiff_t kAfter = 22;
    constexpr std::ptrdiff_t kDip = 7;
    constexpr float kShare = 0.3F;
    auto const centre = static_cast<std::ptrdiff_t>(near * kListenRate) / kRiseHop;
    std::array<float, kBefore + kAfter + kWindow> energies{};
    for (std::ptrdiff_t n = 0; n < std::ssize(energies); ++n)
        if (auto const at = centre - kBefore + n; at >= 0 && at < std::ssize(rises))
            energies[static_cast<std::size_t>(n)] = rises[static_cast<std::size_t>(at)];
    // The slope at each hop: between the windows after and before it.
    std::array<float, kBefore + kAfter> slopes{};
    for (std::ptrdiff_t n = kWindow; n < std::ssize(slopes); ++n) {
        float before = 1e-9F;
        float after = 1e-9F;
        for (std::ptrdiff_t m = 0; m < kWindow; ++m) {
            before += energies[static_cast<std::size_t>(n - 1 - m)];
            after += energies[static_cast<std::size_t>(n + m)];
        }
        slopes[static_cast<std::size_t>(n)] = std::max(0.0F, std::sqrt(after) - std::sqrt(before));
    }
    auto const steepest = std::ranges::max_element(slopes);
    // The strings of one strum follow each other within 8 ms (40 ms over six strings): step over the dips between them.
    auto start = steepest;
    for (auto at = steepest; at != slopes.begin() && start - at <= kDip; --at)
        if (*at > kShare * *steepest)
            start = at;
    return static_cast<double>((centre - kBefore + (start - slopes.begin())) * kRiseHop) / kListenRate;
}

RefinedOnset refine_onset(Hearing const& heard, ChordEvidence const& evidence, std::size_t before, std::size_t after,
                          double expected, double reach)
{
    std::vector<Candidate> candidates;
    auto const& novelty = heard.novelty;
    auto const first = std::max<std::ptrdiff_t>(1, static_cast<std::ptrdiff_t>((expected - reach) / kNoveltyStep));
    auto const last = std::min(static_cast<std::ptrdiff_t>((expected + reach) / kNoveltyStep), std::ssize(novelty) - 2);
    for (auto n = first; n <= last; ++n) {
        auto const at = static_cast<std::size_t>(n);
        if (novelty[at] < novelty[at - 1] || novelty[at] <= novelty[at + 1])
            continue;
        double const seconds = static_cast<double>(n) * kNoveltyStep;
        double const off = (seconds - expected) / (kDeviation * reach);
        double const chords =
            evidence.chord(before, expected - reach, seconds) + evidence.chord(after, seconds, expected + reach);
        candidates.push_back(
            {seconds, kOnset * static_cast<double>(novelty[at]) + chords - std::min(0.5 * off * off, kCap)});
    }
    if (candidates.empty())
        return {expected, expected, 0};
    auto const best = *std::ranges::max_element(candidates, {}, &Candidate::score);
    Candidate second{best.seconds, -1e9};
    for (Candidate const& candidate : candidates)
        if (std::abs(candidate.seconds - best.seconds) >= kApart && candidate.score > second.score)
            second = candidate;
    double const margin = second.score > -1e9 ? best.score - second.score : 1e3;
    return {start_of_rise(heard.rises, best.seconds), second.seconds, margin};
}

} // namespace tabard::pipeline
