#include "pipeline/listen/doubt.h"

#include "pipeline/listen/sparse_pins.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

// In right parts of built performances three in four chords begin within 0.07 of a beat of theirs, in parts that were
// found at a wrong tempo from 0.38 on (listen_bench).
constexpr double kOffBeat = 0.2; ///< beats

constexpr double kOtherInterval = 0.1; ///< share by which an interval's tempo may differ from the part's
constexpr double kManyPins = 1.5;      ///< pins a change

constexpr double kPlain = 0.85;     ///< share of the beats as written from which the tempo may be any
constexpr double kOtherTempo = 1.2; ///< times the author's, or as many times less

constexpr double kFar = 10; ///< seconds between the author's rough place and the part that nobody means by "about"

/// By how many beats a chord begins off its beat; one that comes early, off the middle of the beat before.
double off_beat(ExpectedSpan const& span, HeardSpan const& heard, std::vector<double> const& beats)
{
    auto const beat = static_cast<std::size_t>(span.first_beat);
    double const length = beats[beat + 1] - beats[beat];
    return length > 0 ? std::abs(heard.seconds - beats[beat]) / length - (heard.early ? 0.5 : 0.0) : 0;
}

Judgement doubtful(std::string reason, std::string help)
{
    return {Verdict::doubtful, 0.5, std::move(reason), std::move(help)};
}

/// Where only a part of the beats sounds as written, the author's tempo tells whether the part was found at all.
std::optional<Judgement> doubt_of_tempo(ExpectedPart const& part, AlignedPart const& found)
{
    double const ratio = part.beat_seconds * part.beats() / (found.beats.back() - found.beats.front());
    if (!part.tempo_known || found.confidence >= kPlain || (ratio < kOtherTempo && kOtherTempo * ratio > 1))
        return std::nullopt;
    return doubtful(fmt::format("it sounds {:.2f} times as fast as the tempo in the file", ratio),
                    "if it is played at another tempo, correct \"tempo\" or leave it out");
}

std::optional<Judgement> doubt_of_beats(ExpectedPart const& part, AlignedPart const& found)
{
    int changes = 0;
    int off = 0;
    for (std::size_t n = 0; n < found.spans.size(); ++n) {
        if (!part.changes(n))
            continue;
        ++changes;
        off += std::abs(off_beat(part.spans[n], found.spans[n], found.beats)) > kOffBeat ? 1 : 0;
    }
    if (off == 0 || 4 * off < changes)
        return std::nullopt;
    return doubtful(
        fmt::format("{} of {} chords begin{} between the beats that were found", off, changes, off == 1 ? "s" : ""),
        "write when it begins and its tempo, and the bars of the parts beside it");
}

/// "bar 5", "bars 5 to 6".
std::string bars_of(ExpectedPart const& part, int first_beat, int end_beat, int first_bar)
{
    auto const bar = [&](int beat) { return (beat + part.first_in_bar) / part.beats_per_bar + first_bar; };
    int const first = bar(first_beat);
    int const last = std::max(first, bar(end_beat - 1));
    return first == last ? fmt::format("bar {}", first) : fmt::format("bars {} to {}", first, last);
}

bool is_left(AlignedPart const& found, int first_beat, int end_beat)
{
    return std::ranges::any_of(found.deviations, [&](Deviation const& deviation) {
        return deviation.beat <= end_beat && deviation.next_beat >= first_beat && deviation.beat > 0;
    });
}

/// From one change to the next, the tempo is about that of the part.
std::optional<Judgement> doubt_of_intervals(ExpectedPart const& part, AlignedPart const& found, int first_bar)
{
    struct Piece {
        int first;
        int end;
        double beat; ///< seconds
    };
    std::vector<Piece> pieces;
    int first = 0;
    for (std::size_t n = 1; n <= part.spans.size(); ++n) {
        int const end = n < part.spans.size() ? part.spans[n].first_beat : part.beats();
        if (n < part.spans.size() && (!part.changes(n) || end - first < 2))
            continue;
        double const seconds =
            found.beats[static_cast<std::size_t>(end)] - found.beats[static_cast<std::size_t>(first)];
        if (!is_left(found, first, end))
            pieces.push_back({first, end, seconds / (end - first)});
        first = end;
    }
    if (pieces.size() < 3 || part.pins.size() > 1) // the author has said how free it is
        return std::nullopt;
    auto const middle = pieces.begin() + std::ssize(pieces) / 2;
    std::ranges::nth_element(pieces, middle, {}, &Piece::beat);
    double const usual = middle->beat;
    auto const worst = *std::ranges::max_element(
        pieces, {}, [&](Piece const& piece) { return std::abs(std::log(piece.beat / usual)); });
    double const ratio = usual / worst.beat;
    if (std::abs(std::log(ratio)) <= std::log1p(kOtherInterval))
        return std::nullopt;
    auto const bars = bars_of(part, worst.first, worst.end, first_bar);
    return doubtful(fmt::format("the tempo of {} is {:.0f} % {} than the rest", bars, 100 * std::abs(ratio - 1),
                                ratio > 1 ? "faster" : "slower"),
                    fmt::format("listen to {}: write pins at its beginning and end, or correct the chart", bars));
}

/// "half a beat", "one beat", "3 beats".
std::string beats_text(double beats)
{
    double const size = std::abs(beats);
    if (size < 0.75)
        return "half a beat";
    return size < 1.25 ? "one beat" : fmt::format("{:g} beats", std::round(2 * size) / 2);
}

/// A reading that lies elsewhere is nearly as likely.
std::optional<Judgement> doubt_of_phase(AlignedPart const& found, int first_bar)
{
    constexpr double kClear =
        6; // nats: of 22 parts that lay a beat or half of one off 15 had less, of 542 right ones 17
    if (found.phase.nats >= kClear)
        return std::nullopt;
    return doubtful(
        fmt::format("it might as well lie {} {}", beats_text(found.phase.beats),
                    found.phase.beats < 0 ? "earlier" : "later"),
        fmt::format("write a pin where bar {0} begins, as in \"pins\": [[\"{0}.1\", \"0:42.0\"]]", first_bar));
}

/// A part that needs a pin for nearly every change is played freely, or was not found.
std::optional<Judgement> doubt_of_pins(ExpectedPart const& part, AlignedPart const& found)
{
    double changes = 0;
    for (std::size_t n = 0; n < part.spans.size(); ++n)
        changes += part.changes(n) ? 1 : 0;
    auto const pins = sparse_pins(part, found).size();
    if (part.pins.size() > 1 ||
        static_cast<double>(pins) <= kManyPins * changes + 1 + 2 * static_cast<double>(found.deviations.size()))
        return std::nullopt;
    return doubtful(fmt::format("its beats are so uneven that they need {} pins", pins),
                    "write pins at its first bar and at a bar in its middle, or check its chords");
}

} // namespace

std::string_view verdict_word(Verdict verdict)
{
    switch (verdict) {
    case Verdict::sure:
        return "sure";
    case Verdict::doubtful:
        return "doubtful";
    case Verdict::not_found:
        break;
    }
    return "not found";
}

Judgement judge(ExpectedPart const& part, AlignedPart const& found, int first_bar)
{
    if (!found.found)
        return {Verdict::not_found, 0, "nothing that sounds like its chords was heard where it may be",
                "check its chords, the capo and its place among the parts"};
    if (found.confidence < kHeard)
        return {Verdict::not_found, 0, fmt::format("at best {:.0f} % of it sounds as written", 100 * found.confidence),
                "check its chords, the capo and its place among the parts"};
    if (part.about && (found.elsewhere || std::abs(found.beats.front() - *part.about) > kFar))
        return doubtful("it is heard far from where the file puts it",
                        "correct its \"from\", or take it out of the file");
    if (auto doubt = doubt_of_beats(part, found))
        return *doubt;
    if (auto doubt = doubt_of_tempo(part, found))
        return *doubt;
    if (auto doubt = doubt_of_phase(found, first_bar))
        return *doubt;
    if (auto doubt = doubt_of_intervals(part, found, first_bar))
        return *doubt;
    if (auto doubt = doubt_of_pins(part, found))
        return *doubt;
    if (found.confidence < kTrusted)
        return doubtful(fmt::format("only {:.0f} % of it sounds as written", 100 * found.confidence),
                        "check its chords, or write when it begins and its tempo");
    return {Verdict::sure, found.confidence, "", ""};
}

} // namespace tabard::pipeline
