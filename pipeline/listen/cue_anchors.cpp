#include "pipeline/listen/cue_anchors.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {

namespace {

double beat_of(CuedPart const& part, std::size_t span)
{
    return std::max(0.1, (part.spans[span].to - part.spans[span].from) / part.chart.spans[span].beats);
}

/// Beats from beat `beat` of a part to the stroke that brings its chord: 0 but where the strum passes it.
struct StrokesAround {
    double after = 0;
    std::optional<double> before; ///< the stroke before a beat that is passed, if it is near enough to bring the chord
};

StrokesAround strokes_around(ExpectedPart const& part, int beat)
{
    auto const& pattern = part.strokes;
    StrokesAround result;
    if (pattern.strokes.empty() || pattern.beats <= 0)
        return result;
    double const place = (beat + part.first_in_bar) % pattern.beats;
    double after = pattern.beats;
    double before = pattern.beats;
    for (ExpectedStroke const& stroke : pattern.strokes) {
        if (!stroke.ringing)
            continue;
        double const ahead = std::fmod(stroke.beat - place + 2 * pattern.beats, pattern.beats);
        after = std::min(after, ahead);
        if (ahead > 0)
            before = std::min(before, pattern.beats - ahead);
    }
    if (after > 0.02 && after < 2) {
        result.after = after;
        if (before < 1.5)
            result.before = before;
    }
    return result;
}

} // namespace

CueAnchors anchors_of(CuedPart const& part, ChordEvidence const& evidence, double moved)
{
    CueAnchors result;
    for (std::size_t n = 0; n < part.spans.size(); ++n) {
        Stretch const& span = part.spans[n];
        if (span.to <= span.from)
            continue;
        double const beat = beat_of(part, n);
        auto const strokes = strokes_around(part.chart, part.chart.spans[n].first_beat);
        CueAnchor anchor;
        anchor.seconds = span.from + moved + strokes.after * beat;
        anchor.chord = evidence.index_of(part.chart.spans[n].chord);
        anchor.change = result.anchors.empty() || anchor.chord != result.anchors.back().chord;
        if (n + 1 < part.spans.size() && part.spans[n + 1].from > span.to + 0.5 * beat)
            anchor.until = span.to + moved;
        result.spans.push_back(n);
        result.anchors.push_back(anchor);
        result.beats.push_back(beat);
        result.earlier.push_back(strokes.before ? std::optional((strokes.after + *strokes.before) * beat)
                                                : std::nullopt);
    }
    return result;
}

} // namespace tabard::pipeline
