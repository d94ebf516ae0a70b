#include "pipeline/match/delay_curve.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace tabard::pipeline {

namespace {

using Change = std::array<float, kPrintWidth * kPrintHeight>;

constexpr float kCoding = 1.5F; ///< grey levels: what changes less is the encoder's work

Change change(PicturePrint const& before, PicturePrint const& after)
{
    Change result{};
    for (std::size_t cell = 0; cell < result.size(); ++cell) {
        auto const grey = static_cast<float>(after[cell] - before[cell]);
        result[cell] = std::abs(grey) > kCoding ? grey : 0;
    }
    return result;
}

/// The picture on screen at a time, seconds; none outside what was read.
TimedPrint const* at(std::span<TimedPrint const> film, double seconds)
{
    Time const time = from_seconds(seconds);
    auto const next = std::ranges::upper_bound(film, time, {}, [](TimedPrint const& one) { return one.shown.from; });
    if (next == film.begin() || (next == film.end() && time >= film.back().shown.to))
        return nullptr;
    return &*std::prev(next);
}

} // namespace

void DelayCurve::add(std::span<TimedPrint const> now, std::span<TimedPrint const> old, MatchedPiece const& piece)
{
    for (std::size_t n = 1; n + 1 < now.size(); ++n) {
        auto const middle = [&](std::size_t picture) {
            return 0.5 * to_seconds(now[picture].shown.from + now[picture].shown.to);
        };
        Change const here = change(now[n - 1].print, now[n + 1].print);
        double const energy = std::inner_product(here.begin(), here.end(), here.begin(), 0.0);
        if (energy == 0)
            continue;
        ++m_pictures;
        for (std::size_t k = 0; k < kSize; ++k) {
            double const delay = static_cast<double>(k) * kDelayStep - kLongestDelay;
            TimedPrint const* const first = at(old, piece.old_time(middle(n - 1) + delay));
            TimedPrint const* const second = at(old, piece.old_time(middle(n + 1) + delay));
            if (first == nullptr || second == nullptr)
                continue;
            Change const there = change(first->print, second->print);
            m_sums[k].both += std::inner_product(here.begin(), here.end(), there.begin(), 0.0);
            m_sums[k].now += energy;
            m_sums[k].old += std::inner_product(there.begin(), there.end(), there.begin(), 0.0);
        }
    }
}

void DelayCurve::add(DelayCurve const& other)
{
    m_pictures += other.m_pictures;
    for (std::size_t k = 0; k < kSize; ++k) {
        m_sums[k].both += other.m_sums[k].both;
        m_sums[k].now += other.m_sums[k].now;
        m_sums[k].old += other.m_sums[k].old;
    }
}

std::optional<double> DelayCurve::delay(double frame) const
{
    constexpr std::size_t kFewestPictures = 10; ///< in which something moves
    constexpr double kLeastAlike = 0.3;
    constexpr double kClear = 0.85; ///< of the best that any other delay may reach
    if (m_pictures < kFewestPictures)
        return std::nullopt;
    std::vector<double> alike(kSize);
    std::ranges::transform(m_sums, alike.begin(), [](Sums const& sums) {
        return sums.now > 0 && sums.old > 0 ? sums.both / std::sqrt(sums.now * sums.old) : 0.0;
    });
    auto const best = static_cast<std::size_t>(std::ranges::max_element(alike) - alike.begin());
    if (alike[best] < kLeastAlike)
        return std::nullopt;
    // A picture is as long as a frame, so the best delays are a plateau as wide.
    double const level = 0.97 * alike[best];
    std::size_t low = best;
    std::size_t high = best;
    while (low > 0 && alike[low - 1] >= level)
        --low;
    while (high + 1 < kSize && alike[high + 1] >= level)
        ++high;
    double const middle = 0.5 * static_cast<double>(low + high) * kDelayStep - kLongestDelay;
    if (static_cast<double>(high - low) * kDelayStep > 2.5 * frame)
        return std::nullopt;
    for (std::size_t k = 0; k < kSize; ++k) {
        double const delay = static_cast<double>(k) * kDelayStep - kLongestDelay;
        if (std::abs(delay - middle) > 2.1 * frame && alike[k] > kClear * alike[best])
            return std::nullopt;
    }
    return middle;
}

} // namespace tabard::pipeline
