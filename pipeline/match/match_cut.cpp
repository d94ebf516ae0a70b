#include "pipeline/match/match_cut.h"

#include "pipeline/match/match_pictures.h"
#include "pipeline/sound/film_sound.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

namespace tabard::pipeline {

namespace {

constexpr double kLeastShare = 0.05; ///< of the new film: less is no cut of the old one

constexpr double kAgree = 0.001; ///< seconds to which offsets must be whole frames to be taken for such

/// Whether every offset is a whole number of frames and one common delay, and that delay. Seconds.
std::optional<double> delay_on_frames(std::vector<MatchedPiece> const& pieces, FrameRate rate)
{
    constexpr double kNoticeable = 0.0015;
    double const frame = static_cast<double>(rate.den) / rate.num;
    std::vector<double> rests;
    for (MatchedPiece const& piece : pieces)
        rests.push_back(piece.offset - frame * std::round(piece.offset / frame));
    auto const [least, most] = std::ranges::minmax(rests);
    if (most - least > kAgree)
        return std::nullopt;
    double const middle = 0.5 * (least + most);
    return std::abs(middle) > kNoticeable ? middle : 0.0;
}

Time to_frame(double seconds, FrameRate rate) { return from_frame(std::llround(seconds * rate.num / rate.den), rate); }

/// Cuts lie on frames: a boundary that is near one is there. (Measured boundaries are within 5 ms nine times in ten.)
Time boundary(double seconds, FrameRate rate)
{
    constexpr double kNear = 0.006;
    Time const frame = to_frame(seconds, rate);
    return std::abs(to_seconds(frame) - seconds) <= kNear ? frame : from_seconds(seconds);
}

KeptSpan span_of(MatchedPiece const& piece, std::optional<double> delay, FrameRate rate)
{
    Time const shift = delay ? to_frame(piece.offset - *delay, rate) : from_seconds(piece.offset);
    double const late = delay.value_or(0);
    Time const first = std::max({delay ? boundary(piece.from - late, rate) : from_seconds(piece.from), shift, Time{0}});
    Time const last = delay ? boundary(piece.to - late, rate) : from_seconds(piece.to);
    return {{first - shift, last - shift}, {first, last}};
}

std::string tie_remark(MatchedPiece const& piece)
{
    auto const text = [](double seconds) { return print_time(from_seconds(std::max(seconds, 0.0)), 1); };
    return fmt::format(
        "{} to {} of the new film comes from {} of the old one, but {} sounds nearly the same: check which",
        text(piece.from), text(piece.to), text(piece.from - piece.offset), text(piece.from - *piece.other_offset));
}

Error nothing_in_common(Evidence by, double kept_share)
{
    auto const percent = 100 * kept_share;
    if (by == Evidence::pictures)
        return {ErrorKind::unsupported,
                fmt::format("only {:.0f} % of its frames come from the old film; were they sped up, framed anew or "
                            "covered? Give an edit list instead",
                            percent)};
    return {
        ErrorKind::unsupported,
        fmt::format("only {:.0f} % of its sound comes from the old film; was the sound replaced, sped up or covered "
                    "with music? Give an edit list instead",
                    percent)};
}

using Progress = std::function<void(double)>;

/// The progress of a part of the work, as one of the whole.
Progress part_of(Progress const& whole, double from, double length)
{
    return [&whole, from, length](double share) {
        if (whole)
            whole(from + length * share);
    };
}

Result<MatchedCut> match_by_sound(std::filesystem::path const& old_film, std::filesystem::path const& new_film,
                                  FrameRate rate, std::stop_token stop, Progress const& progress)
{
    TRY_ASSIGN(auto const before, film_sound(old_film, kMatchRate, stop, part_of(progress, 0, 0.4)));
    TRY_ASSIGN(auto const after, film_sound(new_film, kMatchRate, stop, part_of(progress, 0.4, 0.4)));
    auto cut = cut_of_pieces(match_sound(before, after), from_ticks(std::ssize(after), 1, kMatchRate), rate);
    if (!cut)
        return Error{cut.error().kind, fmt::format("{}: {}", new_film.string(), cut.error().what)};
    return cut;
}

Result<MatchedCut> match_by_pictures(std::filesystem::path const& old_film, std::filesystem::path const& new_film,
                                     FrameRate rate, std::stop_token stop, Progress const& progress)
{
    constexpr double kEnough = 0.1; // of the half seconds
    TRY_ASSIGN(auto const before, picture_prints(old_film, rate, stop, part_of(progress, 0, 0.5)));
    TRY_ASSIGN(auto const after, picture_prints(new_film, rate, stop, part_of(progress, 0.5, 0.5)));
    if (moving_share(after, rate) < kEnough)
        return Error{ErrorKind::unsupported, "too little moves in its frames to tell one from the next"};
    return cut_of_pieces(match_pictures(before, after, rate), from_frame(std::ssize(after), rate), rate,
                         Evidence::pictures);
}

} // namespace

Result<MatchedCut> cut_of_pieces(std::vector<MatchedPiece> const& pieces, Time new_length, FrameRate rate, Evidence by)
{
    double kept = 0;
    for (MatchedPiece const& piece : pieces)
        kept += piece.to - piece.from;
    MatchedCut cut;
    cut.by = by;
    cut.new_length = new_length;
    cut.kept_share = kept / std::max(to_seconds(new_length), 1e-3);
    if (cut.kept_share < kLeastShare)
        return nothing_in_common(by, cut.kept_share);
    auto const on_frames = delay_on_frames(pieces, rate);
    double const delay = on_frames.value_or(0);
    cut.delay = from_seconds(delay);
    std::vector<KeptSpan> spans;
    for (MatchedPiece const& piece : pieces) {
        spans.push_back(span_of(piece, on_frames, rate));
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
                        "cues follow the frames",
                        1000 * std::abs(delay), delay > 0 ? "late" : "early"));
    TRY_ASSIGN(cut.map, EditMap::create(std::move(spans)));
    return cut;
}

Result<MatchedCut> match_cut(std::filesystem::path const& old_film, std::filesystem::path const& new_film,
                             FrameRate rate, std::stop_token stop, std::function<void(double)> const& progress)
{
    auto heard = match_by_sound(old_film, new_film, rate, stop, progress);
    if (heard || (heard.error().kind != ErrorKind::unsupported && heard.error().kind != ErrorKind::not_found))
        return heard;
    auto seen = match_by_pictures(old_film, new_film, rate, stop, progress);
    if (!seen && seen.error().kind == ErrorKind::unsupported)
        return Error{ErrorKind::unsupported, fmt::format("{}. Nor do its frames tell how it was cut: {}",
                                                         heard.error().what, seen.error().what)};
    if (seen)
        seen->remarks.insert(seen->remarks.begin(), "matched by frames: " + heard.error().what);
    return seen;
}

} // namespace tabard::pipeline
