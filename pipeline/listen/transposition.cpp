#include "pipeline/listen/transposition.h"

#include "pipeline/listen/chord_template.h"
#include "pipeline/listen/semi_markov.h"

#include <algorithm>

namespace tabard::pipeline {

ExpectedMusic transposed(ExpectedMusic chart, int semitones)
{
    for (ExpectedPart& part : chart)
        for (ExpectedSpan& span : part.spans)
            span.chord = transposed(std::move(span.chord), semitones);
    return chart;
}

Transposition find_transposition(Hearing const& heard, ExpectedMusic const& chart)
{
    constexpr double kClear = 1.5; // nats a beat: a neighbour key shares chords, so less is no proof
    CoarseSettings const settings{.step = 0.186, .deviation = 0.2};
    double beats = 0;
    for (ExpectedPart const& part : chart)
        beats += part.beats();
    Transposition best;
    double best_score = 0;
    double as_written = 0;
    for (int semitones = -5; semitones <= 6; ++semitones) {
        auto const shifted = transposed(chart, semitones);
        double score = 0;
        for (double const part : score_parts(ChordEvidence(heard, shifted), heard.novelty, shifted, settings))
            score += std::max(part, 0.0);
        if (semitones == 0)
            as_written = score;
        if (score > best_score) {
            best_score = score;
            best.semitones = semitones;
        }
    }
    best.gain = (best_score - as_written) / std::max(beats, 1.0);
    return best.gain > kClear ? best : Transposition{};
}

} // namespace tabard::pipeline
