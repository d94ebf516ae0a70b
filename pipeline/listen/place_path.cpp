#include "pipeline/listen/place_path.h"

#include "pipeline/listen/place_part.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace tabard::pipeline {

namespace {

constexpr double kReach = 0.4; ///< beats by which a walk may be off

ExpectedStrokes strokes_from(ExpectedStrokes const& strokes, int beat)
{
    ExpectedStrokes result = strokes;
    for (ExpectedStroke& stroke : result.strokes) {
        stroke.beat = std::fmod(stroke.beat - beat, strokes.beats);
        if (stroke.beat < 0)
            stroke.beat += strokes.beats;
    }
    std::ranges::sort(result.strokes, {}, &ExpectedStroke::beat);
    return result;
}

/// Each span's start and the end of the last.
Boundaries boundaries_of(ExpectedPart const& part, std::vector<double> const& beats)
{
    Boundaries boundaries;
    for (ExpectedSpan const& span : part.spans)
        boundaries.push_back(beats[static_cast<std::size_t>(span.first_beat)]);
    boundaries.push_back(beats.back());
    return boundaries;
}

/// The span of `part` in which a beat lies.
std::size_t span_at(ExpectedPart const& part, int beat)
{
    auto const after =
        std::ranges::upper_bound(part.spans, beat, {}, [](ExpectedSpan const& span) { return span.first_beat; });
    return static_cast<std::size_t>(after - part.spans.begin()) - 1;
}

/// Adds what was found of the beats from `first` on; those up to there that nobody played get the time of the next.
void add_stretch(ExpectedPart const& part, int first, AlignedPart const& found, AlignedPart& whole)
{
    auto const begin = static_cast<std::size_t>(first);
    if (!whole.beats.empty())
        whole.beats.pop_back();
    whole.beats.resize(begin, found.beats.front());
    whole.beats.insert(whole.beats.end(), found.beats.begin(), found.beats.end());

    std::size_t const span = span_at(part, first);
    HeardSpan skipped;
    skipped.seconds = found.spans.front().seconds;
    for (std::size_t n = whole.spans.size(); n < span; ++n)
        whole.spans.push_back(skipped);
    // A span that was broken off has begun where its first beat was.
    bool const begun = whole.spans.size() > span;
    whole.spans.insert(whole.spans.end(), found.spans.begin() + (begun ? 1 : 0), found.spans.end());
}

} // namespace

ExpectedPart part_between(ExpectedPart const& part, int first, int end)
{
    ExpectedPart result = part;
    result.spans.clear();
    for (ExpectedSpan const& span : part.spans) {
        int const from = std::max(span.first_beat, first);
        int const to = std::min(span.first_beat + span.beats, end);
        if (from < to)
            result.spans.push_back({span.chord, from - first, to - from});
    }
    result.first_in_bar = (part.first_in_bar + first) % part.beats_per_bar;
    // The pattern runs from the first bar's first beat on.
    int const bars_begun = part.first_in_bar + first - result.first_in_bar;
    result.strokes = strokes_from(part.strokes, bars_begun);
    result.pins.clear();
    for (BeatPin const& pin : part.pins)
        if (first <= pin.beat && (pin.beat < end || (pin.beat == end && end == part.beats())))
            result.pins.push_back({.beat = pin.beat - first, .seconds = pin.seconds});
    return result;
}

AlignedPart place_path(Hearing const& heard, ChordEvidence const& evidence, ExpectedPart const& part,
                       ChartPath const& path)
{
    AlignedPart whole;
    whole.found = true;
    whole.deviations = path.deviations;
    double sure = 0;
    double beats = 0;
    for (std::size_t n = 0; n < path.stretches.size(); ++n) {
        PlayedStretch const& stretch = path.stretches[n];
        Stretch window{0, std::numeric_limits<double>::max()};
        if (!whole.beats.empty())
            window.from = whole.beats.back();
        if (n + 1 < path.stretches.size())
            window.to = path.stretches[n + 1].seconds.front();
        auto const piece = part_between(part, stretch.first_beat, stretch.end_beat());
        auto const found = place_part(heard, evidence, piece, boundaries_of(piece, stretch.seconds), kReach, window);
        for (Deviation& deviation : whole.deviations) {
            if (deviation.next_beat == stretch.first_beat)
                deviation.to = found.beats.front();
            if (deviation.beat == stretch.end_beat())
                deviation.from = std::min(found.beats.back(), deviation.to);
        }
        add_stretch(part, stretch.first_beat, found, whole);
        if (found.phase.nats < whole.phase.nats)
            whole.phase = found.phase;
        whole.free_tempo |= found.free_tempo;
        whole.score += found.score;
        sure += found.confidence * piece.beats();
        beats += piece.beats();
    }
    // What nobody played cannot sound as written, and is said.
    whole.confidence = beats > 0 ? sure / beats : 0;
    return whole;
}

} // namespace tabard::pipeline
