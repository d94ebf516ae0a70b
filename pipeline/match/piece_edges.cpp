#include "pipeline/match/piece_edges.h"

#include "pipeline/match/shared_lines.h"
#include "pipeline/sound/short_time_spectrum.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numeric>
#include <optional>

namespace tabard::pipeline {

namespace {

constexpr double kReach = 0.6;    ///< seconds around an edge's rough place to search
constexpr double kTouching = 0.1; ///< seconds between rough pieces that follow each other

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

/// How unlike the two sounds are around an instant of the new one, by a piece's line: 0 the same, about 1 nothing in
/// common.
class Mismatch {
public:
    Mismatch(ComparedSounds const& sounds, PlacedPiece const& placed)
        : m_sounds(sounds), m_piece(placed.piece), m_reading(sounds.readings[placed.reading]), m_spectrum(kPoints)
    {
    }

    float at(double time) { return m_reading.sound.empty() ? by_spectra(time) : by_samples(time); }

    /// What the piece itself usually has, in its inner half.
    float usual()
    {
        constexpr int kPlaces = 60;
        std::vector<float> values;
        for (int n = 0; n < kPlaces; ++n)
            values.push_back(at(std::lerp(m_piece.from, m_piece.to, 0.25 + 0.5 * n / kPlaces)));
        auto const middle = values.begin() + std::ssize(values) / 2;
        std::nth_element(values.begin(), middle, values.end());
        return *middle;
    }

private:
    static constexpr int kPoints = 1024; ///< of a spectrum: 64 ms
    static constexpr std::size_t kBands = 24;

    /// 1 - rho^2 of the differenced signals in a window of 5 ms.
    float by_samples(double time) const
    {
        constexpr std::ptrdiff_t kHalf = kMatchRate / 400;
        auto const now = std::lround(time * m_reading.playback.speed * kMatchRate);
        auto const old = std::lround(m_piece.old_time(time) * kMatchRate);
        float xx = 1e-9F;
        float yy = 1e-9F;
        float xy = 0;
        for (std::ptrdiff_t n = -kHalf; n < kHalf; ++n) {
            float const x = step(m_reading.sound, now + n);
            float const y = step(m_sounds.before, old + n);
            xx += x * x;
            yy += y * y;
            xy += x * y;
        }
        return 1 - xy * xy / (xx * yy);
    }

    /// 1 - rho of the spectra's shapes, where no sample is as it was.
    float by_spectra(double time)
    {
        auto const now = shape(m_sounds.after, time);
        auto const old = shape(m_sounds.before, m_piece.old_time(time));
        float const both = std::inner_product(now.begin(), now.end(), old.begin(), 0.0F);
        float const one = std::inner_product(now.begin(), now.end(), now.begin(), 1e-9F);
        float const other = std::inner_product(old.begin(), old.end(), old.begin(), 1e-9F);
        return 1 - both / std::sqrt(one * other);
    }

    /// By how much each band is louder than the next, less what that is on the mean.
    std::array<float, kBands> shape(std::span<float const> sound, double time)
    {
        auto const magnitudes = m_spectrum.magnitudes(sound, std::lround(time * kMatchRate));
        std::array<float, kBands + 1> levels{};
        auto const edge = [](std::size_t band) { // 150 to 7500 Hz
            return std::lround(150 * std::pow(50, static_cast<double>(band) / (kBands + 1)) * kPoints / kMatchRate);
        };
        for (std::size_t band = 0; band <= kBands; ++band) {
            auto const last = std::max(edge(band + 1), edge(band) + 1);
            levels[band] =
                std::log(1e-5F + std::accumulate(magnitudes.begin() + edge(band), magnitudes.begin() + last, 0.0F));
        }
        std::array<float, kBands> result{};
        float const mean = (levels.front() - levels.back()) / kBands;
        for (std::size_t band = 0; band < kBands; ++band)
            result[band] = levels[band] - levels[band + 1] - mean;
        return result;
    }

    static float step(std::span<float const> sound, std::ptrdiff_t at)
    {
        return at >= 1 && at < std::ssize(sound)
                   ? sound[static_cast<std::size_t>(at)] - sound[static_cast<std::size_t>(at) - 1]
                   : 0.0F;
    }

    ComparedSounds const& m_sounds;
    MatchedPiece const& m_piece;
    SoundReading const& m_reading;
    ShortTimeSpectrum m_spectrum;
};

/// The instant between `low` and `high` from which the new sound goes by `second` instead of `first`; either may be
/// none: new material, which is taken to be half-way between what the other piece has and nothing in common.
double find_edge(ComparedSounds const& sounds, PlacedPiece const* first, PlacedPiece const* second, double low,
                 double high)
{
    constexpr double kStep = 0.001;
    std::optional<Mismatch> by_first;
    std::optional<Mismatch> by_second;
    if (first)
        by_first.emplace(sounds, *first);
    if (second)
        by_second.emplace(sounds, *second);
    float unlike = 0;
    if (!first || !second)
        unlike = std::max(0.5F, 0.5F * (1 + (first ? by_first : by_second)->usual()));
    double const from = std::round(low / kStep) * kStep;
    double sum = 0;
    double least = 0;
    double best = from;
    for (double time = from; time < high; time += kStep) {
        sum +=
            static_cast<double>((by_first ? by_first->at(time) : unlike) - (by_second ? by_second->at(time) : unlike));
        if (sum < least) {
            least = sum;
            best = time + kStep;
        }
    }
    return best;
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

/// Whether the old sound is still there from one second to another, under another one: the bits agree more than chance
/// would have them in that time.
bool veiled(ComparedSounds const& sounds, PlacedPiece const& placed, double from, double to)
{
    SoundReading const& reading = sounds.readings[placed.reading];
    auto const frame_at = [&](double time) { return std::lround(time * reading.playback.speed / kFingerprintStep); };
    auto const first = std::max(frame_at(from), 0L);
    auto const last = std::min(frame_at(to), std::ssize(reading.print.words));
    double sum = 0;
    for (std::ptrdiff_t frame = first; frame < last; ++frame) {
        double const time = static_cast<double>(frame) * kFingerprintStep / reading.playback.speed;
        auto const old = std::lround(placed.piece.old_time(time) / kFingerprintStep);
        sum += static_cast<double>(bit_error(sounds.print, reading.print, frame, static_cast<int>(frame - old)));
    }
    double const error = sum / static_cast<double>(std::max<std::ptrdiff_t>(last - first, 1));
    return error < 0.5 - std::max(0.07, 0.12 / std::sqrt(std::max(to - from, 0.01)));
}

/// Whether `second` only goes on with the line of `first`.
bool goes_on(MatchedPiece const& first, MatchedPiece const& second)
{
    double const near = first.playback.pitch_kept ? 0.02 : 0.0005;
    constexpr double kSameDrift = 3e-4;
    double const seam = 0.5 * (first.to + second.from);
    double const speeds = std::abs(first.playback.speed - second.playback.speed);
    if (speeds == 0)
        return std::abs(first.old_time(seam) - second.old_time(seam)) < near;
    return speeds < kSameDrift && std::abs(first.old_time(seam) - second.old_time(seam)) < 3 * near;
}

/// Silence says nothing, so a piece goes on through what is quiet in both sounds, up to its neighbours.
void extend_through_quiet(ComparedSounds const& sounds, std::vector<PlacedPiece>& pieces)
{
    auto const old_quiet = quiet_milliseconds(sounds.before);
    auto const new_quiet = quiet_milliseconds(sounds.after);
    auto const both_quiet = [&](double time, MatchedPiece const& piece) {
        auto const now = static_cast<std::size_t>(std::max(time * 1000, 0.0));
        auto const old = static_cast<std::size_t>(std::max(piece.old_time(time) * 1000, 0.0));
        return now < new_quiet.size() && old < old_quiet.size() && new_quiet[now] != 0 && old_quiet[old] != 0;
    };
    constexpr double kStep = 0.001;
    double const end = static_cast<double>(sounds.after.size()) / kMatchRate;
    double const old_end = static_cast<double>(sounds.before.size()) / kMatchRate;
    for (std::size_t n = 0; n < pieces.size(); ++n) {
        MatchedPiece& piece = pieces[n].piece;
        double const low = std::max({n > 0 ? pieces[n - 1].piece.to : 0.0, piece.offset, 0.0});
        double const next = n + 1 < pieces.size() ? pieces[n + 1].piece.from : end;
        double const high = std::min({next, piece.new_time(old_end), end});
        // What little is left to the edge of a film that the old one has too is the same, however faint.
        if (n == 0 && piece.from < kReach && piece.offset <= 0)
            piece.from = low;
        if (n + 1 == pieces.size() && high > end - kStep && end - piece.to < kReach)
            piece.to = high;
        while (piece.from > low && both_quiet(piece.from - kStep, piece))
            piece.from = std::max(piece.from - kStep, low);
        while (piece.to < high && both_quiet(piece.to, piece))
            piece.to = std::min(piece.to + kStep, high);
    }
}

} // namespace

double shortest_piece(Playback playback) { return playback.speed == 1 ? 0.5 : 2; }

void join_pieces(ComparedSounds const& sounds, std::vector<PlacedPiece>& pieces)
{
    constexpr double kHole = 0.15;
    auto const quiet = quiet_milliseconds(sounds.after);
    std::vector<PlacedPiece> joined;
    for (PlacedPiece const& placed : pieces) {
        MatchedPiece const& piece = placed.piece;
        bool const same =
            !joined.empty() && joined.back().reading == placed.reading && goes_on(joined.back().piece, piece);
        double const from = joined.empty() ? 0 : joined.back().piece.to;
        if (same &&
            (piece.from - from < kHole || hushed(quiet, from, piece.from) || veiled(sounds, placed, from, piece.from)))
            joined.back().piece.to = piece.to;
        else
            joined.push_back(placed);
    }
    pieces = std::move(joined);
}

void place_edges(ComparedSounds const& sounds, std::vector<PlacedPiece>& pieces)
{
    double const end = static_cast<double>(sounds.after.size()) / kMatchRate;
    double const old_end = static_cast<double>(sounds.before.size()) / kMatchRate;
    double last = 0;
    for (std::size_t n = 0; n < pieces.size(); ++n) {
        MatchedPiece& piece = pieces[n].piece;
        PlacedPiece* const before = n > 0 ? &pieces[n - 1] : nullptr;
        bool const follows = before && piece.from - before->piece.to < kTouching;
        double const low = std::max(follows ? before->piece.to - kReach : piece.from - kReach, last);
        double const high = std::min(piece.from + kReach, 0.5 * (piece.from + piece.to));
        piece.from = find_edge(sounds, follows ? before : nullptr, &pieces[n], low, high);
        if (follows)
            before->piece.to = piece.from;
        bool const followed = n + 1 < pieces.size() && pieces[n + 1].piece.from - piece.to < kTouching;
        double const next = n + 1 < pieces.size() ? pieces[n + 1].piece.from : end;
        last = 0.5 * (piece.from + piece.to);
        if (!followed)
            piece.to = find_edge(sounds, &pieces[n], nullptr, std::max(piece.to - kReach, last),
                                 std::min(piece.to + kReach, next));
    }
    for (PlacedPiece& placed : pieces) {
        MatchedPiece& piece = placed.piece;
        piece.from = std::max({piece.from, piece.offset, 0.0});
        piece.to = std::min({piece.to, piece.new_time(old_end), end});
    }
    std::erase_if(pieces, [](PlacedPiece const& placed) {
        return placed.piece.length() < shortest_piece(placed.piece.playback);
    });
    extend_through_quiet(sounds, pieces);
}

} // namespace tabard::pipeline
