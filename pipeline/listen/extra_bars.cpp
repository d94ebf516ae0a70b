#include "pipeline/listen/extra_bars.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {

namespace {

constexpr double kOffBar = 0.4;    ///< beats by which what is played may miss whole bars
constexpr double kNearBeat = 0.07; ///< seconds (mir_eval's tolerance for beats)
constexpr double kStruck = 0.6;    ///< of the strokes' strength in the part
constexpr float kPlayed = 0.66F;   ///< steadiness from which it is playing (find_activity)
constexpr double kCell = 0.5;      ///< seconds of a value of steadiness()

double novelty_near(Hearing const& heard, double seconds)
{
    auto const size = std::ssize(heard.novelty);
    auto const first = std::clamp<std::ptrdiff_t>(std::lround((seconds - kNearBeat) / kNoveltyStep), 0, size);
    auto const last = std::clamp<std::ptrdiff_t>(std::lround((seconds + kNearBeat) / kNoveltyStep) + 1, first, size);
    float best = 0;
    for (auto n = first; n < last; ++n)
        best = std::max(best, heard.novelty[static_cast<std::size_t>(n)]);
    return static_cast<double>(best);
}

double mean_novelty(Hearing const& heard, std::span<double const> beats)
{
    double sum = 0;
    for (double const beat : beats)
        sum += novelty_near(heard, beat);
    return sum / static_cast<double>(std::max<std::size_t>(beats.size(), 1));
}

double middle_length(std::vector<double> const& beats)
{
    std::vector<double> lengths;
    for (std::size_t n = 0; n + 1 < beats.size(); ++n)
        lengths.push_back(beats[n + 1] - beats[n]);
    auto const middle = lengths.begin() + std::ssize(lengths) / 2;
    std::ranges::nth_element(lengths, middle);
    return *middle;
}

} // namespace

bool are_extra_bars(Hearing const& heard, std::span<float const> steady, ExpectedPart const& chart,
                    AlignedPart const& part, Deviation const& rest)
{
    double const beats = (rest.to - rest.from) / middle_length(part.beats);
    int const bars = static_cast<int>(std::lround(beats / chart.beats_per_bar));
    int const whole = bars * chart.beats_per_bar;
    if (bars == 0 || std::abs(beats - whole) > kOffBar * std::sqrt(bars))
        return false;
    float sum = 0;
    int cells = 0;
    for (double at = rest.from + 0.5 * kCell; at < rest.to; at += kCell) {
        auto const cell = static_cast<std::size_t>(at / kCell);
        sum += cell < steady.size() ? steady[cell] : 0.0F;
        ++cells;
    }
    if (sum < kPlayed * static_cast<float>(cells))
        return false;
    std::vector<double> extra;
    for (int n = 0; n < whole; ++n)
        extra.push_back(std::lerp(rest.from, rest.to, static_cast<double>(n) / whole));
    return mean_novelty(heard, extra) >= kStruck * mean_novelty(heard, part.beats);
}

} // namespace tabard::pipeline
