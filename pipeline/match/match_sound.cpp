#include "pipeline/match/match_sound.h"

#include "pipeline/match/shared_diagonals.h"
#include "pipeline/sound/real_fft.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <numeric>

namespace tabard::pipeline {

namespace {

constexpr double kHopSeconds = static_cast<double>(kFingerprintHop) / kFingerprintRate;
constexpr double kShortestPiece = 0.5; ///< seconds: shorter ones are chance
constexpr double kReach = 0.6;         ///< seconds around a boundary's rough place to search
constexpr float kNewError = 0.5F;      ///< 1 - rho^2 that new material would have

/// Half the rate: the mean of neighbours is low-pass enough below 3.4 kHz.
std::vector<float> halved(std::span<float const> sound)
{
    std::vector<float> half(sound.size() / 2);
    for (std::size_t n = 0; n < half.size(); ++n) {
        float const next = 2 * n + 2 < sound.size() ? sound[2 * n + 2] : 0.0F;
        half[n] = 0.25F * sound[2 * n] + 0.5F * sound[2 * n + 1] + 0.25F * next;
    }
    return half;
}

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
    double const left = static_cast<double>(at(best - 1));
    double const middle = static_cast<double>(at(best));
    double const right = static_cast<double>(at(best + 1));
    double const curve = left - 2 * middle + right;
    return static_cast<double>(best) + (curve < 0 ? 0.5 * (left - right) / curve : 0.0);
}

/// 1 - rho^2 of the differenced signals in windows of 5 ms, every millisecond of the new sound in [first, last).
std::vector<float> mismatch(std::span<float const> before, std::span<float const> after, std::optional<double> offset,
                            std::ptrdiff_t first, std::ptrdiff_t last)
{
    constexpr std::ptrdiff_t kMillisecond = kMatchRate / 1000;
    std::vector<float> errors(static_cast<std::size_t>(last - first), kNewError);
    if (!offset)
        return errors;
    auto const shift = static_cast<std::ptrdiff_t>(std::lround(*offset * kMatchRate));
    auto const step = [](std::span<float const> sound, std::ptrdiff_t at) {
        return at >= 1 && at < std::ssize(sound)
                   ? sound[static_cast<std::size_t>(at)] - sound[static_cast<std::size_t>(at) - 1]
                   : 0.0F;
    };
    for (std::ptrdiff_t n = first; n < last; ++n) {
        float xx = 1e-9F;
        float yy = 1e-9F;
        float xy = 0;
        for (std::ptrdiff_t at = n * kMillisecond - 2 * kMillisecond; at < (n + 3) * kMillisecond; ++at) {
            float const x = step(after, at);
            float const y = step(before, at - shift);
            xx += x * x;
            yy += y * y;
            xy += x * y;
        }
        errors[static_cast<std::size_t>(n - first)] = 1 - xy * xy / (xx * yy);
    }
    return errors;
}

/// Which milliseconds of a sound are quiet: 50 dB below its mean, in windows of 5 ms.
std::vector<std::uint8_t> quiet_milliseconds(std::span<float const> sound)
{
    constexpr std::size_t kMillisecond = kMatchRate / 1000;
    std::vector<float> energies(sound.size() / kMillisecond + 1);
    for (std::size_t n = 0; n < sound.size(); ++n)
        energies[n / kMillisecond] += sound[n] * sound[n];
    double const mean = std::accumulate(energies.begin(), energies.end(), 0.0) / static_cast<double>(energies.size());
    std::vector<std::uint8_t> quiet(energies.size());
    std::ranges::transform(energies, quiet.begin(), [=](float energy) { return energy < 1e-5 * mean ? 1 : 0; });
    return quiet;
}

/// Silence says nothing, so a piece goes on through what is quiet in both sounds, up to its neighbours.
void extend_through_quiet(std::span<float const> before, std::span<float const> after,
                          std::vector<MatchedPiece>& pieces)
{
    auto const old_quiet = quiet_milliseconds(before);
    auto const new_quiet = quiet_milliseconds(after);
    auto const both_quiet = [&](double seconds, double offset) {
        auto const now = static_cast<std::size_t>(std::max(seconds * 1000, 0.0));
        auto const old = static_cast<std::size_t>(std::max((seconds - offset) * 1000, 0.0));
        return now < new_quiet.size() && old < old_quiet.size() && new_quiet[now] != 0 && old_quiet[old] != 0;
    };
    constexpr double kStep = 0.001;
    double const end = static_cast<double>(after.size()) / kMatchRate;
    double const old_end = static_cast<double>(before.size()) / kMatchRate;
    for (std::size_t n = 0; n < pieces.size(); ++n) {
        auto& piece = pieces[n];
        double const low = std::max({n > 0 ? pieces[n - 1].to : 0.0, piece.offset, 0.0});
        double const next = n + 1 < pieces.size() ? pieces[n + 1].from : end;
        double const high = std::min({next, piece.offset + old_end, end});
        // What little is left to the edge of a film that the old one has too is the same, however faint.
        if (n == 0 && piece.from < kReach && piece.offset <= 0)
            piece.from = low;
        if (n + 1 == pieces.size() && high > end - kStep && end - piece.to < kReach)
            piece.to = high;
        while (piece.from > low && both_quiet(piece.from - kStep, piece.offset))
            piece.from = std::max(piece.from - kStep, low);
        while (piece.to < high && both_quiet(piece.to, piece.offset))
            piece.to = std::min(piece.to + kStep, high);
    }
}

/// Runs of one diagonal as pieces with rough edges.
std::vector<MatchedPiece> rough_pieces(DiagonalPath const& path, std::vector<int> const& diagonals)
{
    double const step = path.step_frames * kHopSeconds;
    std::vector<MatchedPiece> pieces;
    for (std::size_t n = 0; n < path.choices.size();) {
        std::size_t end = n;
        int ties = 0;
        int other = DiagonalPath::kNew;
        while (end < path.choices.size() && path.choices[end] == path.choices[n]) {
            if (path.runners_up[end] != DiagonalPath::kNew) {
                ++ties;
                other = path.runners_up[end];
            }
            ++end;
        }
        double const length = static_cast<double>(end - n) * step;
        if (path.choices[n] != DiagonalPath::kNew && length >= kShortestPiece) {
            MatchedPiece piece{static_cast<double>(n) * step, static_cast<double>(end) * step,
                               diagonals[static_cast<std::size_t>(path.choices[n])] * kHopSeconds, std::nullopt};
            if (2 * ties > static_cast<int>(end - n))
                piece.other_offset = diagonals[static_cast<std::size_t>(other)] * kHopSeconds;
            pieces.push_back(piece);
        }
        n = end;
    }
    return pieces;
}

/// Whether hardly anything sounds from one second to another: its quiet milliseconds are all but what the rough edges
/// of pieces hold of their sound.
bool hushed(std::vector<std::uint8_t> const& quiet, double from, double to)
{
    auto const first = std::min(static_cast<std::size_t>(from * 1000), quiet.size());
    auto const last = std::clamp(static_cast<std::size_t>(to * 1000), first, quiet.size());
    auto const silent = std::count(quiet.begin() + static_cast<std::ptrdiff_t>(first),
                                   quiet.begin() + static_cast<std::ptrdiff_t>(last), std::uint8_t{1});
    return static_cast<double>(silent) > 0.8 * static_cast<double>(last - first);
}

/// Joins pieces that go straight on by the same offset: over a hole, or where the sound was switched off for a while.
void join(std::vector<MatchedPiece>& pieces, std::span<float const> after)
{
    constexpr double kSame = 0.0005;
    constexpr double kHole = 0.15;
    auto const quiet = quiet_milliseconds(after);
    std::vector<MatchedPiece> joined;
    for (MatchedPiece const& piece : pieces) {
        if (!joined.empty() && std::abs(joined.back().offset - piece.offset) < kSame &&
            (piece.from - joined.back().to < kHole || hushed(quiet, joined.back().to, piece.from)))
            joined.back().to = piece.to;
        else
            joined.push_back(piece);
    }
    pieces = std::move(joined);
}

/// Places the boundaries between neighbours, and between pieces and new material, and at the ends of the sounds.
void place_boundaries(std::span<float const> before, std::span<float const> after, std::vector<MatchedPiece>& pieces)
{
    double const end = static_cast<double>(after.size()) / kMatchRate;
    double const old_end = static_cast<double>(before.size()) / kMatchRate;
    double last = 0;
    for (std::size_t n = 0; n < pieces.size(); ++n) {
        MatchedPiece& piece = pieces[n];
        bool const follows = n > 0 && piece.from - pieces[n - 1].to < 0.1;
        double const low = std::max(follows ? pieces[n - 1].to - kReach : piece.from - kReach, last);
        double const high = std::min(piece.from + kReach, 0.5 * (piece.from + piece.to));
        if (follows) {
            piece.from = pieces[n - 1].to = find_boundary(before, after, pieces[n - 1].offset, piece.offset, low, high);
        } else {
            piece.from = find_boundary(before, after, std::nullopt, piece.offset, low, high);
        }
        bool const followed = n + 1 < pieces.size() && pieces[n + 1].from - piece.to < 0.1;
        double const next = n + 1 < pieces.size() ? pieces[n + 1].from : end;
        last = 0.5 * (piece.from + piece.to);
        if (!followed)
            piece.to = find_boundary(before, after, piece.offset, std::nullopt, std::max(piece.to - kReach, last),
                                     std::min(piece.to + kReach, next));
    }
    for (MatchedPiece& piece : pieces) { // no piece reaches beyond the old sound
        piece.from = std::max({piece.from, piece.offset, 0.0});
        piece.to = std::min({piece.to, piece.offset + old_end, end});
    }
    std::erase_if(pieces, [](MatchedPiece const& piece) { return piece.to - piece.from < kShortestPiece; });
}

} // namespace

double measure_offset(std::span<float const> before, std::span<float const> after, double from, double to,
                      double expected)
{
    constexpr int kMostChunks = 7;
    auto const available = static_cast<unsigned>(std::max((to - from) * kMatchRate, 4096.0));
    auto const size = std::min(std::bit_floor(available), 65536U); // 4 s
    auto const coarse = static_cast<std::ptrdiff_t>(std::lround(expected * kMatchRate));
    int const chunks = std::clamp(static_cast<int>(available / size), 1, kMostChunks);
    RealFft fft(static_cast<int>(size));
    std::vector<double> lags;
    for (int chunk = 0; chunk < chunks; ++chunk) {
        double const share = (chunk + 0.5) / chunks;
        auto const first = static_cast<std::ptrdiff_t>(std::lerp(from, to, share) * kMatchRate) -
                           static_cast<std::ptrdiff_t>(size / 2);
        lags.push_back(
            peak_lag(fft, cut_out(before, first - coarse, size), cut_out(after, first, size), kMatchRate / 33));
    }
    auto const middle = lags.begin() + std::ssize(lags) / 2;
    std::nth_element(lags.begin(), middle, lags.end());
    return (static_cast<double>(coarse) + *middle) / kMatchRate;
}

double find_boundary(std::span<float const> before, std::span<float const> after, std::optional<double> first,
                     std::optional<double> second, double low, double high)
{
    auto const from = static_cast<std::ptrdiff_t>(std::lround(low * 1000));
    auto const to = std::max(static_cast<std::ptrdiff_t>(std::lround(high * 1000)), from + 1);
    auto const by_first = mismatch(before, after, first, from, to);
    auto const by_second = mismatch(before, after, second, from, to);
    double sum = 0;
    double least = 0;
    std::ptrdiff_t best = from;
    for (std::ptrdiff_t n = from; n < to; ++n) {
        auto const at = static_cast<std::size_t>(n - from);
        sum += static_cast<double>(by_first[at] - by_second[at]);
        if (sum < least) {
            least = sum;
            best = n + 1;
        }
    }
    return static_cast<double>(best) / 1000;
}

std::vector<MatchedPiece> match_sound(std::span<float const> before, std::span<float const> after)
{
    auto const old_print = fingerprint(halved(before));
    auto const new_print = fingerprint(halved(after));
    auto const diagonals = shared_diagonals(old_print, new_print);
    auto pieces = rough_pieces(follow_diagonals(old_print, new_print, diagonals), diagonals);
    for (MatchedPiece& piece : pieces)
        piece.offset = measure_offset(before, after, piece.from, piece.to, piece.offset);
    join(pieces, after);
    place_boundaries(before, after, pieces);
    extend_through_quiet(before, after, pieces);
    return pieces;
}

} // namespace tabard::pipeline
