#include "pipeline/match/measure_offset.h"

#include "pipeline/match/shared_lines.h"
#include "pipeline/sound/real_fft.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <complex>

namespace tabard::pipeline {

namespace {

std::vector<float> cut_out(std::span<float const> sound, std::ptrdiff_t first, std::size_t size)
{
    std::vector<float> piece(size);
    for (std::size_t n = 0; n < size; ++n) {
        auto const at = first + static_cast<std::ptrdiff_t>(n);
        if (at >= 0 && at < std::ssize(sound))
            piece[n] = sound[static_cast<std::size_t>(at)];
    }
    return piece;
}

/// Where a parabola through three values that are one apart has its peak, from the middle one.
double vertex(double left, double middle, double right)
{
    double const curve = left - 2 * middle + right;
    return curve < 0 ? 0.5 * (left - right) / curve : 0.0;
}

/// The lag (samples, fractional) of the cross-correlation's peak within `reach` samples.
double peak_lag(RealFft& fft, std::vector<float> const& old, std::vector<float> const& now, int reach)
{
    auto const first = fft.forward(old);
    std::vector<std::complex<float>> cross(first.begin(), first.end());
    auto const second = fft.forward(now);
    for (std::size_t bin = 0; bin < cross.size(); ++bin) {
        auto const product = second[bin] * std::conj(cross[bin]);
        cross[bin] = product / std::pow(std::norm(product) + 1e-20F, 0.3F); // |G|^0.6
    }
    auto const correlation = fft.inverse(cross);
    auto const size = std::ssize(correlation);
    auto const at = [&](std::ptrdiff_t lag) { return correlation[static_cast<std::size_t>((lag + size) % size)]; };
    std::ptrdiff_t best = 0;
    for (std::ptrdiff_t lag = -reach; lag <= reach; ++lag) {
        if (at(lag) > at(best))
            best = lag;
    }
    return static_cast<double>(best) +
           vertex(static_cast<double>(at(best - 1)), static_cast<double>(at(best)), static_cast<double>(at(best + 1)));
}

/// A chunk's middle and how much later it runs there. Seconds.
struct Measured {
    double at;
    double offset;
};

/// `most` chunks of `size` samples, evenly over the stretch.
std::vector<Measured> measured_chunks(std::span<float const> before, std::span<float const> after, double from,
                                      double to, double expected, std::size_t size, int most)
{
    auto const coarse = static_cast<std::ptrdiff_t>(std::lround(expected * kMatchRate));
    auto const fitting = static_cast<int>((to - from) * kMatchRate / static_cast<double>(size));
    int const chunks = std::clamp(fitting, 1, most);
    RealFft fft(static_cast<int>(size));
    std::vector<Measured> result;
    for (int chunk = 0; chunk < chunks; ++chunk) {
        double const middle = std::lerp(from, to, (chunk + 0.5) / chunks);
        auto const first = static_cast<std::ptrdiff_t>(middle * kMatchRate) - static_cast<std::ptrdiff_t>(size / 2);
        double const lag =
            peak_lag(fft, cut_out(before, first - coarse, size), cut_out(after, first, size), kMatchRate / 33);
        result.push_back({middle, (static_cast<double>(coarse) + lag) / kMatchRate});
    }
    return result;
}

double middle_of(std::vector<double> values)
{
    auto const middle = values.begin() + std::ssize(values) / 2;
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

/// Chunks of two seconds, moved over the old sound by whole frames; a parabola says where between them it fits best.
std::vector<Measured> measured_prints(SoundFingerprint const& before, SoundFingerprint const& after, double from,
                                      double to, double expected)
{
    constexpr std::ptrdiff_t kChunk = 166;
    constexpr int kReach = 4;
    auto const first = static_cast<std::ptrdiff_t>(from / kFingerprintStep);
    auto const last = std::min(static_cast<std::ptrdiff_t>(to / kFingerprintStep), std::ssize(after.words));
    auto const coarse = static_cast<int>(std::lround(expected / kFingerprintStep));
    std::vector<Measured> result;
    for (std::ptrdiff_t start = first; start < last; start += kChunk) {
        auto const end = std::min(start + kChunk, last);
        if (end - start < kChunk / 2 && !result.empty())
            break;
        std::array<double, 2 * kReach + 1> likeness{};
        for (int shift = -kReach; shift <= kReach; ++shift) {
            for (std::ptrdiff_t n = start; n < end; ++n)
                likeness[static_cast<std::size_t>(shift + kReach)] -=
                    static_cast<double>(bit_error(before, after, n, coarse + shift));
        }
        auto const best = static_cast<std::size_t>(std::ranges::max_element(likeness) - likeness.begin());
        if (best == 0 || best + 1 == likeness.size())
            continue;
        double const shift = static_cast<double>(coarse) + static_cast<double>(best) - kReach +
                             vertex(likeness[best - 1], likeness[best], likeness[best + 1]);
        result.push_back({0.5 * static_cast<double>(start + end) * kFingerprintStep, shift * kFingerprintStep});
    }
    return result;
}

/// The line through most of what was measured. A drift that makes less than `least` over the stretch, or little
/// beside the spread, is none.
OffsetFit fit_line(std::vector<Measured> const& measured, double from, double to, double expected, double least)
{
    OffsetFit fit{0.5 * (from + to), expected, 0, 0};
    if (measured.empty())
        return fit;
    auto const residuals = [&](double drift) {
        std::vector<double> rests;
        for (Measured const& one : measured)
            rests.push_back(one.offset - drift * (one.at - fit.middle));
        return rests;
    };
    auto const settle = [&](double drift) {
        auto rests = residuals(drift);
        fit.drift = drift;
        fit.offset = middle_of(rests);
        for (double& rest : rests)
            rest = std::abs(rest - fit.offset);
        fit.spread = middle_of(std::move(rests));
    };
    settle(0);
    constexpr std::size_t kFewest = 3;
    if (measured.size() < kFewest)
        return fit;
    std::vector<double> slopes;
    for (std::size_t n = 0; n < measured.size(); ++n) {
        for (std::size_t other = 0; other < n; ++other)
            slopes.push_back((measured[n].offset - measured[other].offset) / (measured[n].at - measured[other].at));
    }
    double const flat = fit.spread;
    double const drift = middle_of(std::move(slopes));
    settle(drift);
    bool const tells = std::abs(drift) * (to - from) > std::max(least, 4 * fit.spread) && fit.spread < 0.5 * flat;
    if (!tells)
        settle(0);
    return fit;
}

} // namespace

double measure_offset(std::span<float const> before, std::span<float const> after, double from, double to,
                      double expected)
{
    constexpr int kMostChunks = 7;
    auto const available = static_cast<unsigned>(std::max((to - from) * kMatchRate, 4096.0));
    auto const size = std::min(std::bit_floor(available), 65536U); // 4 s
    std::vector<double> offsets;
    for (Measured const& chunk : measured_chunks(before, after, from, to, expected, size, kMostChunks))
        offsets.push_back(chunk.offset);
    return middle_of(std::move(offsets));
}

OffsetFit fit_offset(std::span<float const> before, std::span<float const> after, double from, double to,
                     double expected)
{
    constexpr int kMostChunks = 15;
    constexpr double kLeastDrift = 0.0005; // seconds over the stretch
    auto const available = static_cast<unsigned>(std::max((to - from) * kMatchRate / 3, 4096.0));
    auto const size = std::min(std::bit_floor(available), 16384U); // 1 s: a drift hardly blurs it
    auto const chunks = measured_chunks(before, after, from, to, expected, size, kMostChunks);
    auto fit = fit_line(chunks, from, to, expected, kLeastDrift);
    if (fit.drift == 0)
        fit.offset = measure_offset(before, after, from, to, expected);
    return fit;
}

OffsetFit fit_offset(SoundFingerprint const& before, SoundFingerprint const& after, double from, double to,
                     double expected)
{
    constexpr double kLeastDrift = 0.03; // seconds over the stretch
    return fit_line(measured_prints(before, after, from, to, expected), from, to, expected, kLeastDrift);
}

} // namespace tabard::pipeline
