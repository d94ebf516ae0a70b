#include "pipeline/match/match_sound.h"

#include "pipeline/match/find_speeds.h"
#include "pipeline/match/measure_offset.h"
#include "pipeline/match/piece_chains.h"
#include "pipeline/match/piece_edges.h"
#include "pipeline/match/shared_lines.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>

namespace tabard::pipeline {

namespace {

/// A speed so near another that its pieces are found by that one.
bool near(Playback a, Playback b)
{
    constexpr double kShare = 0.01;
    return a.pitch_kept == b.pitch_kept && std::abs(a.speed / b.speed - 1) < kShare;
}

class SoundMatcher {
public:
    SoundMatcher(std::span<float const> before, std::span<float const> after)
        : m_before(before), m_after(after), m_reading_of_old(read_sound(before, {})), m_search(m_reading_of_old.print)
    {
        add_reading({});
    }

    std::vector<MatchedPiece> match()
    {
        auto pieces = find_pieces();
        for (int round = 0; round < kMostRounds; ++round) {
            if (!change_readings(pieces, round == 0))
                break;
            pieces = find_pieces();
        }
        join_pieces(sounds(), pieces);
        gather_scraps(pieces);
        for (PlacedPiece& placed : pieces)
            measure(placed);
        place_edges(sounds(), pieces);
        std::vector<MatchedPiece> result;
        for (PlacedPiece const& placed : pieces)
            result.push_back(placed.piece);
        return result;
    }

private:
    static constexpr int kMostRounds = 3;
    static constexpr std::size_t kMostReadings = 4;
    static constexpr double kSteady = 0.001; ///< seconds of spread: more is no tape, but a machine that keeps the pitch
    static constexpr double kLeastDrift = 2e-4; ///< which its own reading is worth while

    ComparedSounds sounds() const { return {m_before, m_after, m_reading_of_old.print, m_readings}; }

    void add_reading(Playback playback)
    {
        m_readings.emplace_back();
        m_shifts.emplace_back();
        read_again(m_readings.size() - 1, playback);
    }

    void read_again(std::size_t reading, Playback playback)
    {
        m_readings[reading] = read_sound(m_after, playback);
        m_shifts[reading] = shared_shifts(m_search, m_readings[reading].print);
    }

    std::vector<PlacedPiece> find_pieces()
    {
        m_lines.clear();
        for (std::size_t reading = 0; reading < m_readings.size(); ++reading) {
            for (int const shift : m_shifts[reading])
                m_lines.push_back({reading, shift});
        }
        auto const length = static_cast<double>(m_after.size()) / kMatchRate;
        auto const path = follow_lines(m_reading_of_old.print, m_readings, m_lines, length);
        std::vector<PlacedPiece> pieces;
        for (std::size_t n = 0; n < path.choices.size();) {
            std::size_t end = n;
            while (end < path.choices.size() && path.choices[end] == path.choices[n])
                ++end;
            add_piece(path, n, end, pieces);
            n = end;
        }
        for (PlacedPiece& placed : pieces)
            measure(placed);
        return pieces;
    }

    /// A run of one line, with rough edges, where it is long enough to be no chance.
    void add_piece(LinePath const& path, std::size_t first, std::size_t end, std::vector<PlacedPiece>& pieces) const
    {
        if (path.choices[first] == LinePath::kNew)
            return;
        SharedLine const& line = m_lines[static_cast<std::size_t>(path.choices[first])];
        Playback const playback = m_readings[line.reading].playback;
        MatchedPiece piece{static_cast<double>(first) * kLineStep,
                           static_cast<double>(end) * kLineStep,
                           line.shift * kFingerprintStep / playback.speed,
                           {},
                           playback};
        if (piece.length() < shortest_piece(playback))
            return;
        std::size_t ties = 0;
        for (std::size_t n = first; n < end; ++n) {
            if (path.runners_up[n] == LinePath::kNew)
                continue;
            SharedLine const& other = m_lines[static_cast<std::size_t>(path.runners_up[n])];
            if (m_readings[other.reading].playback != playback)
                continue;
            ++ties;
            piece.other_offset = other.shift * kFingerprintStep / playback.speed;
        }
        if (2 * ties <= end - first)
            piece.other_offset.reset();
        pieces.push_back({piece, line.reading});
    }

    /// The piece's offset, and its drift against the reading's speed, to what the sounds allow.
    void measure(PlacedPiece& placed) const
    {
        MatchedPiece& piece = placed.piece;
        SoundReading const& reading = m_readings[placed.reading];
        double const speed = reading.playback.speed;
        double const from = piece.from * speed;
        double const to = piece.to * speed;
        double const middle = 0.5 * (piece.from + piece.to);
        double const expected = middle * speed - piece.old_time(middle);
        OffsetFit const fit = reading.sound.empty()
                                  ? fit_offset(m_reading_of_old.print, reading.print, from, to, expected)
                                  : fit_offset(m_before, reading.sound, from, to, expected);
        piece.playback.speed = speed * (1 - fit.drift);
        piece.offset = (fit.offset - fit.drift * fit.middle) / piece.playback.speed;
        piece.playback.pitch_kept = reading.playback.pitch_kept || (fit.drift != 0 && fit.spread > kSteady);
        placed.spread = fit.spread;
    }

    /// Reads the new sound at the speeds that the pieces, and what is no piece, suggest. Whether anything changed.
    bool change_readings(std::vector<PlacedPiece> const& pieces, bool look_for_more)
    {
        auto wanted = chained_speeds(pieces);
        if (look_for_more)
            std::ranges::copy(find_speeds(m_search, m_after, unexplained(pieces)), std::back_inserter(wanted));
        bool changed = false;
        std::vector<bool> settled(kMostReadings);
        for (Playback const& playback : wanted) {
            auto const known = std::find_if(m_readings.begin() + 1, m_readings.end(), [&](SoundReading const& reading) {
                return near(reading.playback, playback);
            });
            auto const place = static_cast<std::size_t>(known - m_readings.begin());
            if (place == kMostReadings || settled[place])
                continue;
            if (known == m_readings.end())
                add_reading(playback);
            else
                read_again(place, playback);
            settled[place] = true;
            changed = true;
        }
        return changed;
    }

    /// The speeds that chains of pieces have and their readings have not, those of the longest first.
    std::vector<Playback> chained_speeds(std::vector<PlacedPiece> const& pieces) const
    {
        constexpr double kShortest = 4;  // seconds
        constexpr double kTells = 0.015; // seconds that the speed makes over the chain
        auto chains = chains_of(pieces);
        std::ranges::sort(chains, std::greater{}, &PieceChain::length);
        std::vector<Playback> speeds;
        for (PieceChain const& chain : chains) {
            PlacedPiece const& main = pieces[main_piece(pieces, chain)];
            Playback const read_at = m_readings[main.reading].playback;
            double const share = std::abs(chain.speed / read_at.speed - 1);
            bool const scraps = chain.pieces() > 2 && share * chain.length() > kTells;
            bool const drifts = chain.pieces() == 1 && main.piece.playback.speed != read_at.speed;
            if (chain.length() < kShortest || share < kLeastDrift || !(scraps || drifts))
                continue;
            speeds.push_back({chain.speed, read_at.pitch_kept || main.spread > kSteady});
        }
        return speeds;
    }

    static std::size_t main_piece(std::vector<PlacedPiece> const& pieces, PieceChain const& chain)
    {
        auto const first = pieces.begin() + static_cast<std::ptrdiff_t>(chain.first);
        auto const end = pieces.begin() + static_cast<std::ptrdiff_t>(chain.end);
        auto const longest =
            std::ranges::max_element(first, end, {}, [](PlacedPiece const& placed) { return placed.piece.length(); });
        return static_cast<std::size_t>(longest - pieces.begin());
    }

    /// Scraps of what runs at another speed are one piece, in the reading of that speed.
    void gather_scraps(std::vector<PlacedPiece>& pieces) const
    {
        constexpr double kOnLine = 0.03; // seconds
        std::vector<PlacedPiece> gathered;
        for (PieceChain const& chain : chains_of(pieces)) {
            auto const off = [&](SoundReading const& reading) {
                return std::abs(chain.speed / reading.playback.speed - 1);
            };
            auto const nearest = std::ranges::min_element(m_readings, {}, off);
            auto const by = static_cast<std::size_t>(nearest - m_readings.begin());
            if (chain.pieces() == 1 || chain.worst > kOnLine || by == 0 || off(*nearest) * chain.length() > kOnLine) {
                gathered.insert(gathered.end(), pieces.begin() + static_cast<std::ptrdiff_t>(chain.first),
                                pieces.begin() + static_cast<std::ptrdiff_t>(chain.end));
                continue;
            }
            Playback const playback = nearest->playback;
            double const middle = 0.5 * (chain.from + chain.to);
            double const old = chain.speed * (middle - chain.offset);
            gathered.push_back({{chain.from, chain.to, middle - old / playback.speed, {}, playback}, by, 0});
        }
        pieces = std::move(gathered);
    }

    /// Where nothing was found, or only scraps, sound is; evenly over the film where that is much.
    std::vector<double> unexplained(std::vector<PlacedPiece> const& pieces) const
    {
        constexpr std::size_t kMost = 24;
        constexpr double kLong = 3; // seconds of a piece that is no scrap
        double const end = static_cast<double>(m_after.size()) / kMatchRate;
        auto const& quiet = m_readings.front().print.quiet;
        std::vector<double> starts;
        for (double start = 0; start + kSpeedWindow <= end; start += kSpeedWindow) {
            double explained = 0;
            for (PlacedPiece const& placed : pieces) {
                if (placed.piece.length() >= kLong)
                    explained += std::max(
                        std::min(placed.piece.to, start + kSpeedWindow) - std::max(placed.piece.from, start), 0.0);
            }
            auto const first = quiet.begin() + static_cast<std::ptrdiff_t>(start / kFingerprintStep);
            auto const last = first + static_cast<std::ptrdiff_t>(kSpeedWindow / kFingerprintStep);
            auto const silent = std::count(first, last, std::uint8_t{1});
            if (explained < 0.3 * kSpeedWindow && 2 * silent < last - first)
                starts.push_back(start);
        }
        std::vector<double> chosen;
        std::size_t const most = std::min(starts.size(), kMost);
        for (std::size_t n = 0; n < most; ++n)
            chosen.push_back(starts[n * starts.size() / most]);
        return chosen;
    }

    std::span<float const> m_before;
    std::span<float const> m_after;
    SoundReading m_reading_of_old;
    PrintSearch m_search;
    std::vector<SoundReading> m_readings;
    std::vector<std::vector<int>> m_shifts; ///< of each reading
    std::vector<SharedLine> m_lines;
};

} // namespace

std::vector<MatchedPiece> match_sound(std::span<float const> before, std::span<float const> after)
{
    return SoundMatcher(before, after).match();
}

} // namespace tabard::pipeline
