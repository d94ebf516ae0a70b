#include "pipeline/listen/doubt.h"

#include "pipeline/listen/likelihood.h"
#include "pipeline/listen/part_signs.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr double kPlain = 0.85;     ///< share of the beats as written from which the tempo may be any
constexpr double kOtherTempo = 1.2; ///< times the author's, or as many times less

Judgement doubtful(std::string reason, std::string help)
{
    return {Verdict::doubtful, 0, std::move(reason), std::move(help)};
}

/// Where only a part of the beats sounds as written, the author's tempo tells whether the part was found at all.
bool is_at_another_tempo(ExpectedPart const& part, AlignedPart const& found)
{
    double const ratio = times_as_fast(part, found);
    return found.confidence < kPlain && (ratio >= kOtherTempo || kOtherTempo * ratio <= 1);
}

Judgement doubt_of_tempo(ExpectedPart const& part, AlignedPart const& found)
{
    return doubtful(fmt::format("it sounds {:.2f} times as fast as the tempo in the file", times_as_fast(part, found)),
                    "if it is played at another tempo, correct \"tempo\" or leave it out");
}

/// "bar 5", "bars 5 to 6".
std::string bars_of(ExpectedPart const& part, int first_beat, int end_beat, int first_bar)
{
    auto const bar = [&](int beat) { return (beat + part.first_in_bar) / part.beats_per_bar + first_bar; };
    int const first = bar(first_beat);
    int const last = std::max(first, bar(end_beat - 1));
    return first == last ? fmt::format("bar {}", first) : fmt::format("bars {} to {}", first, last);
}

/// From one change to the next, the tempo is about that of the part.
Judgement doubt_of_intervals(ExpectedPart const& part, AlignedPart const& found, int first_bar)
{
    auto const worst = odd_interval(part, found);
    auto const bars = bars_of(part, worst.first_beat, worst.end_beat, first_bar);
    return doubtful(fmt::format("the tempo of {} is {:.0f} % {} than the rest", bars, 100 * std::abs(worst.faster - 1),
                                worst.faster > 1 ? "faster" : "slower"),
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

std::string pin_help(int bar)
{
    return fmt::format("write a pin where bar {0} begins, as in \"pins\": [[\"{0}.1\", \"0:42.0\"]]", bar);
}

/// A reading that lies elsewhere is nearly as likely.
Judgement doubt_of_phase(AlignedPart const& found, int first_bar)
{
    return doubtful(fmt::format("it might as well lie {} {}", beats_text(found.phase.beats),
                                found.phase.beats < 0 ? "earlier" : "later"),
                    pin_help(first_bar));
}

/// Another way through the chart is nearly as likely.
Judgement doubt_of_path(ExpectedPart const& part, AlignedPart const& found, int first_bar)
{
    auto const bar = bars_of(part, found.path.beat, found.path.beat + 1, first_bar);
    auto const at = print_time(from_seconds(std::max(0.0, found.path.seconds)), 1);
    auto const reason = found.deviations.empty()
                            ? fmt::format("the playing may leave the chart at {} ({})", bar, at)
                            : fmt::format("the playing leaves the chart at {} ({}), or elsewhere", bar, at);
    return doubtful(reason, fmt::format("listen to it from {} on, and write pins before and after what is not in its "
                                        "chart",
                                        at));
}

/// The reading by which finished cues are judged has a change at another time.
Judgement doubt_of_reading(ExpectedPart const& part, SecondReading const& second, int first_bar)
{
    auto const most =
        std::ranges::max_element(second.off, {}, [](Disagreement const& one) { return one.end_beat - one.first_beat; });
    auto const bars = bars_of(part, most->first_beat, most->end_beat, first_bar);
    return doubtful(fmt::format("a second look at the sound has {} {:.1f} s {}", bars, std::abs(most->late),
                                most->late > 0 ? "earlier" : "later"),
                    pin_help((most->first_beat + part.first_in_bar) / part.beats_per_bar + first_bar));
}

Judgement doubt_of_chords(AlignedPart const& found)
{
    return doubtful(fmt::format("only {:.0f} % of it sounds as written", 100 * found.confidence),
                    "check its chords, or write when it begins and its tempo");
}

Judgement doubt_of(Sign sign, ExpectedPart const& part, AlignedPart const& found, SecondReading const& second,
                   int first_bar)
{
    switch (sign) {
    case Sign::phase:
        return doubt_of_phase(found, first_bar);
    case Sign::path:
        return doubt_of_path(part, found, first_bar);
    case Sign::again:
        return doubt_of_reading(part, second, first_bar);
    case Sign::interval:
        return doubt_of_intervals(part, found, first_bar);
    case Sign::written:
        break;
    }
    return doubt_of_chords(found);
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

Judgement judge(ExpectedPart const& part, AlignedPart const& found, SecondReading const& second, int first_bar)
{
    if (!found.found)
        return {Verdict::not_found, 0, "nothing that sounds like its chords was heard where it may be",
                "check its chords, the capo and its place among the parts"};
    if (found.confidence < kHeard)
        return {Verdict::not_found, 0, fmt::format("at best {:.0f} % of it sounds as written", 100 * found.confidence),
                "check its chords, the capo and its place among the parts"};
    auto const [share, against] = likelihood(signs_of(part, found, second));
    Judgement result{Verdict::sure, share, "", ""};
    if (part.about && found.elsewhere)
        result =
            doubtful("it is heard far from where the file puts it", "correct its \"from\", or take it out of the file");
    else if (is_at_another_tempo(part, found))
        result = doubt_of_tempo(part, found);
    else if (found.confidence < kTrusted)
        result = doubt_of_chords(found);
    else if (share < kSure)
        result = doubt_of(against, part, found, second, first_bar);
    result.confidence = share;
    return result;
}

} // namespace tabard::pipeline
