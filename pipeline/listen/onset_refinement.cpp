#include "pipeline/listen/onset_refinement.h"

#include "pipeline/listen/onset_novelty.h"
#include "pipeline/listen/rise_start.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {

namespace {

constexpr float kOnset = 5;         ///< nats for a clear onset
constexpr double kStruck = 0.7;     ///< of what strokes say of the chord beside what sounds
constexpr double kDeviation = 0.04; ///< seconds: how far from its beat a change usually is
constexpr double kCap = 8;          ///< nats that being far from its beat may cost
constexpr double kApart = 0.08;     ///< seconds: nearer instants are the same stroke

struct Candidate {
    double seconds;
    double score;
};

} // namespace

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
        double const off = (seconds - expected) / kDeviation;
        auto const of = [&](std::size_t chord, double from, double to) {
            return evidence.chord(chord, from, to) + kStruck * evidence.strokes().chord(chord, from, to);
        };
        double const chords = of(before, expected - reach, seconds) + of(after, seconds, expected + reach);
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
