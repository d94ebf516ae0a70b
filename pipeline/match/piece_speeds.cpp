#include "pipeline/match/piece_speeds.h"

#include "pipeline/time/timecode.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include <fmt/format.h>

namespace tabard::pipeline {

namespace {

struct KnownSpeed {
    double speed;
    std::string_view why;
};

/// Films of one frame rate played at another.
constexpr std::array kConformed{KnownSpeed{1001.0 / 1000, "as when 23.976 frames a second are played as 24"},
                                KnownSpeed{1000.0 / 1001, "as when 24 frames a second are played as 23.976"},
                                KnownSpeed{25.0 / 24, "as when 24 frames a second are played as 25"},
                                KnownSpeed{24.0 / 25, "as when 25 frames a second are played as 24"},
                                KnownSpeed{25.025 / 24, "as when 23.976 frames a second are played as 25"},
                                KnownSpeed{24.0 / 25.025, "as when 25 frames a second are played as 23.976"}};

constexpr double kClocks = 2e-4; ///< share by which two recorders' clocks may differ

/// Seconds by which a piece's ends may lie elsewhere at another speed and nobody could tell.
double tolerance(Playback playback) { return playback.pitch_kept ? 0.015 : 0.002; }

bool one_speed(MatchedPiece const& a, MatchedPiece const& b)
{
    constexpr double kShare = 3e-4;
    if (a.playback.pitch_kept != b.playback.pitch_kept)
        return false;
    if ((a.playback.speed == 1) != (b.playback.speed == 1))
        return false;
    double const length = std::min(a.length(), b.length());
    double const share = std::min(kShare + 2 * tolerance(a.playback) / length, 0.01);
    return std::abs(a.playback.speed / b.playback.speed - 1) < share;
}

/// The nearest usual speed that cannot be told from this one over `length` seconds.
double usual_speed(double speed, double length, Playback playback)
{
    double const near = tolerance(playback) / length;
    for (KnownSpeed const& known : kConformed) {
        if (std::abs(speed / known.speed - 1) < near)
            return known.speed;
    }
    double const round = std::round(speed * 1000) / 1000;
    return std::abs(speed / round - 1) < near ? round : speed;
}

void set_speed(MatchedPiece& piece, double speed)
{
    double const middle = 0.5 * (piece.from + piece.to);
    double const old = piece.old_time(middle);
    double const other = piece.other_offset ? piece.playback.speed * (middle - *piece.other_offset) : 0;
    piece.playback.speed = speed;
    piece.offset = middle - old / speed;
    if (piece.other_offset)
        piece.other_offset = middle - other / speed;
}

std::string speed_text(MatchedPiece const& piece)
{
    double const speed = piece.playback.speed;
    auto const known = std::ranges::find(kConformed, speed, &KnownSpeed::speed);
    bool const exact = known != kConformed.end();
    bool const clocks = std::abs(speed - 1) < kClocks;
    auto text = fmt::format("{:.6g} times as fast as the old one", speed);
    if (!clocks)
        text += piece.playback.pitch_kept ? ", its pitch kept" : speed > 1 ? ", its pitch higher" : ", its pitch lower";
    if (exact)
        text += fmt::format(" ({})", known->why);
    if (clocks)
        text += " (two clocks that differ do that)";
    return text;
}

/// Where a long piece runs a little faster or slower, short ones that may as well do so too.
void follow_longest(std::vector<MatchedPiece>& pieces)
{
    constexpr double kLittle = 0.02;      // share
    constexpr double kCannotTell = 0.015; // seconds over the piece
    auto const longest = std::ranges::max_element(pieces, {}, &MatchedPiece::length);
    if (longest == pieces.end() || longest->playback.speed == 1 || std::abs(longest->playback.speed - 1) > kLittle)
        return;
    Playback const main = longest->playback;
    for (MatchedPiece& piece : pieces) {
        if (std::abs(piece.playback.speed / main.speed - 1) * piece.length() > kCannotTell)
            continue;
        set_speed(piece, main.speed);
        piece.playback.pitch_kept = main.pitch_kept;
    }
}

} // namespace

void settle_speeds(std::vector<MatchedPiece>& pieces)
{
    follow_longest(pieces);
    std::vector<bool> settled(pieces.size());
    for (std::size_t n = 0; n < pieces.size(); ++n) {
        if (settled[n] || pieces[n].playback.speed == 1)
            continue;
        std::vector<std::size_t> alike;
        double sum = 0;
        double length = 0;
        double longest = 0;
        for (std::size_t other = n; other < pieces.size(); ++other) {
            if (settled[other] || !one_speed(pieces[n], pieces[other]))
                continue;
            alike.push_back(other);
            // The longer a piece the better its slope is known, and by more than its length.
            double const weight = std::pow(pieces[other].length(), 3);
            sum += weight * pieces[other].playback.speed;
            length += weight;
            longest = std::max(longest, pieces[other].length());
        }
        double const speed = usual_speed(sum / length, longest, pieces[n].playback);
        for (std::size_t const other : alike) {
            settled[other] = true;
            set_speed(pieces[other], speed);
        }
    }
}

std::vector<std::string> speed_remarks(std::vector<MatchedPiece> const& pieces)
{
    std::vector<std::string> remarks;
    bool const one = std::ranges::all_of(
        pieces, [&](MatchedPiece const& piece) { return piece.playback.speed == pieces.front().playback.speed; });
    if (pieces.empty() || (one && pieces.front().playback.speed == 1))
        return remarks;
    constexpr std::string_view kFollow = "; cues follow";
    if (one) {
        remarks.push_back(fmt::format("the new film runs {}{}", speed_text(pieces.front()), kFollow));
        return remarks;
    }
    for (std::size_t n = 0; n < pieces.size();) {
        std::size_t end = n + 1;
        while (end < pieces.size() && pieces[end].playback == pieces[n].playback)
            ++end;
        if (pieces[n].playback.speed != 1)
            remarks.push_back(
                fmt::format("from {} to {} the new film runs {}{}", print_time(from_seconds(pieces[n].from), 1),
                            print_time(from_seconds(pieces[end - 1].to), 1), speed_text(pieces[n]), kFollow));
        n = end;
    }
    return remarks;
}

} // namespace tabard::pipeline
