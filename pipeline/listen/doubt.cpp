#include "pipeline/listen/doubt.h"

#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

// In right parts of built performances three in four chords begin within 0.07 of a beat of theirs, in parts that were
// found at a wrong tempo from 0.38 on (listen_bench).
constexpr double kOffBeat = 0.2; ///< beats

/// By how many beats a chord begins off its beat; one that comes early, off the middle of the beat before.
double off_beat(ExpectedSpan const& span, HeardSpan const& heard, std::vector<double> const& beats)
{
    auto const beat = static_cast<std::size_t>(span.first_beat);
    double const length = beats[beat + 1] - beats[beat];
    return std::abs(heard.seconds - beats[beat]) / length - (heard.early ? 0.5 : 0.0);
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
        return "";
    return fmt::format("{} of {} chords begin{} between the beats that were found", off, changes, off == 1 ? "s" : "");
}

} // namespace tabard::pipeline
