#include "pipeline/listen/doubt.h"

#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

// In right parts of built performances three in four chords begin within 0.07 of a beat of theirs, in parts that were
// found at a wrong tempo from 0.38 on (listen_bench).
constexpr double kOffBeat = 0.2; ///< beats

constexpr double kPlain = 0.75;     ///< share of the beats as written from which the tempo may be any
constexpr double kOtherTempo = 1.2; ///< times the author's, or as many times less

/// By how many beats a chord begins off its beat; one that comes early, off the middle of the beat before.
double off_beat(ExpectedSpan const& span, HeardSpan const& heard, std::vector<double> const& beats)
{
    auto const beat = static_cast<std::size_t>(span.first_beat);
    double const length = beats[beat + 1] - beats[beat];
    return std::abs(heard.seconds - beats[beat]) / length - (heard.early ? 0.5 : 0.0);
}

/// Where only a part of the beats sounds as written, the author's tempo tells whether the part was found at all.
std::string doubt_of_tempo(ExpectedPart const& part, AlignedPart const& found)
{
    double const ratio = part.beat_seconds * part.beats() / (found.beats.back() - found.beats.front());
    if (!part.tempo_known || found.confidence >= kPlain || (ratio < kOtherTempo && kOtherTempo * ratio > 1))
        return "";
    return fmt::format("it sounds {:.2f} times as fast as the tempo in the file", ratio);
}

} // namespace

std::string doubt_of(ExpectedPart const& part, AlignedPart const& found)
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
        return doubt_of_tempo(part, found);
    return fmt::format("{} of {} chords begin{} between the beats that were found", off, changes, off == 1 ? "s" : "");
}

} // namespace tabard::pipeline
