#include "pipeline/listen/outside_evidence.h"

#include <algorithm>

namespace tabard::pipeline {

namespace {

constexpr float kSwitch = 8; ///< nats for another chord, or for none

/// The best score up to each step, where `step(n)` lists what each state earns from step n to the next.
template <typename Step>
std::vector<float> best_until(int size, std::size_t states, Step step)
{
    std::vector<float> scores(states, 0.0F);
    std::vector<float> earned(states);
    std::vector<float> result(1, 0.0F);
    for (int n = 0; n + 1 < size; ++n) {
        step(n, earned);
        float const switched = *std::ranges::max_element(scores) - kSwitch;
        for (std::size_t state = 0; state < states; ++state)
            scores[state] = std::max(scores[state], switched) + earned[state];
        result.push_back(*std::ranges::max_element(scores));
    }
    return result;
}

} // namespace

OutsideEvidence outside_evidence(EvidenceGrid const& grid, GridRange window)
{
    std::size_t const states = grid.chords.size() + 1;
    auto const earn = [&](int at, std::vector<float>& earned) {
        auto const n = static_cast<std::size_t>(at);
        for (std::size_t chord = 0; chord < grid.chords.size(); ++chord)
            earned[chord] = grid.chords[chord][n + 1] - grid.chords[chord][n];
        earned.back() = grid.gap[n + 1] - grid.gap[n];
    };
    OutsideEvidence evidence;
    evidence.until = best_until(window.size(), states, [&](int n, auto& earned) { earn(window.low + n, earned); });
    evidence.from = best_until(window.size(), states, [&](int n, auto& earned) { earn(window.high - 2 - n, earned); });
    std::ranges::reverse(evidence.from);
    return evidence;
}

} // namespace tabard::pipeline
