#include "pipeline/listen/playing.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace tabard::pipeline {

namespace {

constexpr double kCell = 0.5; ///< seconds
constexpr double kCellFrames = kCell / kChromaStep;
constexpr float kSteady = 0.66F;    ///< between talk and playing
constexpr float kSwitchCost = 1.2F; ///< in units of steadiness: some four seconds of clear evidence
constexpr std::size_t kActivities = 3;

std::size_t frame_of(std::size_t cell, std::size_t frames)
{
    return std::min(static_cast<std::size_t>(std::lround(static_cast<double>(cell) * kCellFrames)), frames);
}

/// The chroma without its mean, so that flat noise is alike to nothing.
PitchClasses centred(PitchClasses classes)
{
    float mean = 0;
    for (float const value : classes)
        mean += value / 12;
    for (float& value : classes)
        value -= mean;
    return classes;
}

std::vector<float> silent_share(Hearing const& heard, std::size_t cells)
{
    std::vector<float> shares(cells);
    for (std::size_t cell = 0; cell < cells; ++cell) {
        auto const first = frame_of(cell, heard.silent.size());
        auto const last = std::max(frame_of(cell + 1, heard.silent.size()), first + 1);
        for (std::size_t n = first; n < std::min(last, heard.silent.size()); ++n)
            shares[cell] += static_cast<float>(heard.silent[n]) / static_cast<float>(last - first);
    }
    return shares;
}

/// The likeliest activity of each cell: a Viterbi search with a cost for each switch.
std::vector<Activity> label_cells(std::vector<float> const& steady, std::vector<float> const& silent)
{
    std::vector<std::array<std::uint8_t, kActivities>> from(steady.size());
    std::array<float, kActivities> scores{};
    for (std::size_t cell = 0; cell < steady.size(); ++cell) {
        std::array<float, kActivities> next{};
        auto const best = static_cast<std::uint8_t>(std::ranges::max_element(scores) - scores.begin());
        float const played = (steady[cell] - kSteady) * (1 - silent[cell]);
        std::array<float, kActivities> const here{silent[cell] - 0.7F, -played - 0.3F * silent[cell],
                                                  played - 0.3F * silent[cell]};
        for (std::uint8_t a = 0; a < kActivities; ++a) {
            bool const stay = scores[a] >= scores[best] - kSwitchCost;
            from[cell][a] = stay ? a : best;
            next[a] = (stay ? scores[a] : scores[best] - kSwitchCost) + here[a];
        }
        scores = next;
    }
    std::vector<Activity> labels(steady.size());
    auto state = static_cast<std::uint8_t>(std::ranges::max_element(scores) - scores.begin());
    for (std::size_t cell = steady.size(); cell-- > 0;) {
        labels[cell] = static_cast<Activity>(state);
        state = from[cell][state];
    }
    return labels;
}

} // namespace

std::vector<float> steadiness(Hearing const& heard)
{
    constexpr std::size_t kReach = 34; // frames: 0.8 s on both sides
    auto const frames = heard.chroma.size();
    auto const cells = static_cast<std::size_t>(std::ceil(static_cast<double>(frames) / kCellFrames));
    std::vector<float> result(cells);
    for (std::size_t cell = 0; cell < cells; ++cell) {
        std::size_t const centre = frame_of(cell, frames) + static_cast<std::size_t>(kCellFrames / 2);
        PitchClasses sum{};
        float lengths = 1e-6F;
        for (std::size_t n = centre > kReach ? centre - kReach : 0; n < std::min(centre + kReach, frames); ++n) {
            if (heard.silent[n])
                continue;
            auto const classes = centred(heard.chroma[n].treble);
            for (std::size_t c = 0; c < sum.size(); ++c)
                sum[c] += classes[c];
            lengths += std::sqrt(dot(classes, classes));
        }
        result[cell] = std::sqrt(dot(sum, sum)) / lengths;
    }
    return result;
}

std::vector<ActivityStretch> find_activity(Hearing const& heard)
{
    auto const steady = steadiness(heard);
    auto const labels = label_cells(steady, silent_share(heard, steady.size()));
    std::vector<ActivityStretch> result;
    for (std::size_t cell = 0; cell < labels.size(); ++cell) {
        double const from = static_cast<double>(cell) * kCell;
        if (result.empty() || result.back().activity != labels[cell])
            result.push_back({{from, from}, labels[cell]});
        result.back().stretch.to = std::min(from + kCell, heard.seconds());
    }
    return result;
}

} // namespace tabard::pipeline
