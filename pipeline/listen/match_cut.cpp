#include "pipeline/listen/match_cut.h"

#include "pipeline/listen/film_sound.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {

namespace {

constexpr double kLeastShare = 0.05; ///< of the new film: less is no cut of the old one

/// How far every offset is from whole frames, where all agree to a millisecond; else 0. Seconds.
double common_delay(std::vector<MatchedPiece> const& pieces, FrameRate rate)
{
    constexpr double kNoticeable = 0.0015;
    constexpr double kAgree = 0.001;
    double const frame = static_cast<double>(rate.den) / rate.num;
    std::vector<double> rests;
    for (MatchedPiece const& piece : pieces)
        rests.push_back(piece.offset - frame * std::round(piece.offset / frame));
    auto const [least, most] = std::ranges::minmax(rests);
    return most - least < kAgree && std::abs(most) > kNoticeable ? 0.5 * (least + most) : 0.0;
}

KeptSpan span_of(MatchedPiece const& piece, double delay)
{
    Time const shift = from_seconds(piece.offset - delay);
    Interval const target{std::max(from_seconds(piece.from - delay), Time{0}), from_seconds(piece.to - delay)};
    Interval const source{std::max(target.from - shift, Time{0}), target.to - shift};
    return {source, {source.from + shift, target.to}};
}

std::string tie_remark(MatchedPiece const& piece)
{
    auto const text = [](double seconds) { return print_time(from_seconds(std::max(seconds, 0.0)), 1); };
    return fmt::format(
        "{} to {} of the new film comes from {} of the old one, but {} sounds nearly the same: check which",
        text(piece.from), text(piece.to), text(piece.from - piece.offset), text(piece.from - *piece.other_offset));
}

} // namespace

Result<MatchedCut> cut_of_pieces(std::vector<MatchedPiece> const& pieces, Time new_length, FrameRate rate)
{
    double kept = 0;
    for (MatchedPiece const& piece : pieces)
        kept += piece.to - piece.from;
    MatchedCut cut;
    cut.new_length = new_length;
    cut.kept_share = kept / std::max(to_seconds(new_length), 1e-3);
    if (cut.kept_share < kLeastShare)
        return Error{
            ErrorKind::unsupported,
            fmt::format(
                "only {:.0f} % of its sound comes from the old film; was the sound replaced, sped up or covered "
                "with music? Give an edit list instead",
                100 * cut.kept_share)};
    double const delay = common_delay(pieces, rate);
    cut.delay = from_seconds(delay);
    std::vector<KeptSpan> spans;
    for (MatchedPiece const& piece : pieces) {
        spans.push_back(span_of(piece, delay));
        if (piece.other_offset)
            cut.remarks.push_back(tie_remark(piece));
    }
    for (std::size_t n = 1; n < spans.size(); ++n) { // rounding to flicks
        if (Time const over = spans[n - 1].target.to - spans[n].target.from; over > Time{0}) {
            spans[n - 1].target.to -= over;
            spans[n - 1].source.to -= over;
        }
    }
    if (delay != 0)
        cut.remarks.push_back(
            fmt::format("the new film's sound runs {:.1f} ms {} throughout (a filter or an encoder does that); "
                        "cues follow the pictures",
                        1000 * std::abs(delay), delay > 0 ? "late" : "early"));
    TRY_ASSIGN(cut.map, EditMap::create(std::move(spans)));
    return cut;
}

Result<MatchedCut> match_cut(std::filesystem::path const& old_film, std::filesystem::path const& new_film,
                             FrameRate rate, std::stop_token stop, std::function<void(double)> const& progress)
{
    auto const part = [&](double from, double length) {
        return [&progress, from, length](double share) {
            if (progress)
                progress(from + length * share);
        };
    };
    TRY_ASSIGN(auto const before, film_sound(old_film, kMatchRate, stop, part(0, 0.4)));
    TRY_ASSIGN(auto const after, film_sound(new_film, kMatchRate, stop, part(0.4, 0.4)));
    auto cut = cut_of_pieces(match_sound(before, after), from_ticks(std::ssize(after), 1, kMatchRate), rate);
    if (!cut)
        return Error{cut.error().kind, fmt::format("{}: {}", new_film.string(), cut.error().what)};
    return cut;
}

} // namespace tabard::pipeline
