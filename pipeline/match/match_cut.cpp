#include "pipeline/match/match_cut.h"

#include "pipeline/match/match_pictures.h"
#include "pipeline/match/match_sound.h"
#include "pipeline/match/piece_speeds.h"
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

double seconds_of_frame(FrameRate rate) { return static_cast<double>(rate.den) / rate.num; }

/// The part of a frame by which every piece at speed 1 is late, if it is one for all. Seconds.
std::optional<double> part_of_a_frame(std::vector<MatchedPiece> const& pieces, FrameRate rate)
{
    constexpr double kNoticeable = 0.0015;
    double const frame = seconds_of_frame(rate);
    std::vector<double> rests;
    for (MatchedPiece const& piece : pieces) {
        if (piece.playback.speed == 1)
            rests.push_back(piece.offset - frame * std::round(piece.offset / frame));
    }
    if (rests.empty())
        return std::nullopt;
    auto const [least, most] = std::ranges::minmax(rests);
    if (most - least > kAgree)
        return std::nullopt;
    double const middle = 0.5 * (least + most);
    return std::abs(middle) > kNoticeable ? middle : 0.0;
}

/// By how much the new sound is late, seconds: whole frames are the pictures' to tell, parts of one the offsets'.
double delay_of_sound(std::optional<double> part, PictureDelay const& pictures, FrameRate rate)
{
    double const frame = seconds_of_frame(rate);
    if (!pictures.seconds)
        return part.value_or(0);
    if (part)
        return *part + frame * std::round((*pictures.seconds - *part) / frame);
    return std::abs(*pictures.seconds) > 0.6 * frame ? *pictures.seconds : 0;
}

Time to_frame(double seconds, FrameRate rate) { return from_frame(std::llround(seconds * rate.num / rate.den), rate); }

/// Cuts lie on frames: a boundary that is near one is there. (Measured boundaries are within 5 ms nine times in ten.)
Time boundary(double seconds, FrameRate rate)
{
    constexpr double kNear = 0.006;
    Time const frame = to_frame(seconds, rate);
    return std::abs(to_seconds(frame) - seconds) <= kNear ? frame : from_seconds(seconds);
}

/// Where the piece is in both films. `late`: the sound's delay; `on_frames`: whether offsets are whole frames.
KeptSpan span_of(MatchedPiece const& piece, double late, bool on_frames, FrameRate rate)
{
    double const offset = piece.offset - late;
    Time const first = boundary(piece.from - late, rate);
    Time const last = boundary(piece.to - late, rate);
    if (piece.playback.speed == 1) {
        Time const shift = on_frames ? to_frame(offset, rate) : from_seconds(offset);
        Time const from = std::max({first, shift, Time{0}});
        return {{from - shift, last - shift}, {from, last}};
    }
    auto const old_time = [&](Time time) { return from_seconds(piece.playback.speed * (to_seconds(time) - offset)); };
    Time const from = std::max({first, from_seconds(offset), Time{0}});
    return {{std::max(old_time(from), Time{0}), old_time(last)}, {from, last}};
}

/// Where two pieces overlap by what was rounded, or leave less than a frame between them, the later one begins where
/// the earlier one ends.
void close_seams(std::vector<KeptSpan>& spans, Time frame)
{
    for (std::size_t n = 1; n < spans.size(); ++n) {
        Time const seam = spans[n - 1].target.to;
        Time const moved = spans[n].back(seam);
        bool const near = spans[n].target.from - seam < frame;
        if (near && moved >= Time{0} && seam < spans[n].target.to)
            spans[n] = {{moved, spans[n].source.to}, {seam, spans[n].target.to}};
    }
}

std::string delay_remark(double delay, FrameRate rate)
{
    double const frames = std::abs(delay) / seconds_of_frame(rate);
    std::string_view const word = delay > 0 ? "late" : "early";
    if (frames < 0.9)
        return fmt::format("the new film's sound runs {:.1f} ms {} throughout (a filter or an encoder does that); "
                           "cues follow the frames",
                           1000 * std::abs(delay), word);
    return fmt::format("the new film's sound is {:.0f} ms ({:.3g} frame{}) {} against its pictures, compared with the "
                       "old film; cues follow the pictures. If it was the old film whose sound was out of step, place "
                       "them by the sound: tabard listen",
                       1000 * std::abs(delay), std::round(10 * frames) / 10, frames < 1.05 ? "" : "s", word);
}

std::string tie_remark(MatchedPiece const& piece)
{
    auto const text = [](double seconds) { return print_time(from_seconds(std::max(seconds, 0.0)), 1); };
    return fmt::format(
        "{} to {} of the new film comes from {} of the old one, but {} sounds nearly the same: check which",
        text(piece.from), text(piece.to), text(piece.old_time(piece.from)),
        text(piece.playback.speed * (piece.from - *piece.other_offset)));
}

Error nothing_in_common(Evidence by, double kept_share)
{
    auto const percent = 100 * kept_share;
    if (by == Evidence::pictures)
        return {
            ErrorKind::unsupported,
            fmt::format("only {:.0f} % of its frames come from the old film; do they run at another speed, were they "
                        "framed anew or covered? Give an edit list instead",
                        percent)};
    return {
        ErrorKind::unsupported,
        fmt::format("only {:.0f} % of its sound comes from the old film; was the sound replaced, or played more than "
                    "twice or less than half as fast? Give an edit list instead",
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
    auto pieces = match_sound(before, after);
    auto const pictures = pieces.empty() ? PictureDelay{} : picture_delay(old_film, new_film, pieces, stop);
    if (!pictures && pictures.error().kind == ErrorKind::interrupted)
        return pictures.error();
    auto cut = cut_of_pieces(std::move(pieces), from_ticks(std::ssize(after), 1, kMatchRate),
                             pictures ? pictures->rate : rate, Evidence::sound, pictures.value_or(PictureDelay{}));
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

Result<MatchedCut> cut_of_pieces(std::vector<MatchedPiece> pieces, Time new_length, FrameRate rate, Evidence by,
                                 PictureDelay const& pictures)
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
    settle_speeds(pieces);
    cut.remarks = speed_remarks(pieces);
    auto const part = part_of_a_frame(pieces, rate);
    double const delay = delay_of_sound(part, pictures, rate);
    cut.delay = from_seconds(delay);
    std::vector<KeptSpan> spans;
    for (MatchedPiece const& piece : pieces) {
        spans.push_back(span_of(piece, delay, part.has_value(), rate));
        if (piece.other_offset)
            cut.remarks.push_back(tie_remark(piece));
    }
    close_seams(spans, from_frame(1, rate));
    if (delay != 0)
        cut.remarks.push_back(delay_remark(delay, rate));
    if (pictures.differs)
        cut.remarks.push_back(
            "the new film's sound keeps step with its pictures in some places and not in others: look "
            "at its cuts, or give an edit list");
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
