#include "pipeline/listen/place_part.h"

#include "pipeline/listen/beat_viterbi.h"
#include "pipeline/listen/onset_refinement.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {

namespace {

/// Some players anticipate many changes and most hardly any: the likelier of the two habits, then a finer search with
/// it.
BeatTrack find_beats(Hearing const& heard, ChordEvidence const& evidence, ExpectedPart const& part,
                     Boundaries const& boundaries)
{
    auto const expected = beats_between(part, boundaries);
    constexpr double kHabit = 10; // nats: phrases of half a beat's shift sound much like it
    BeatSettings settings{.deviation = 0.08, .reach_beats = 3, .early_share = 0.03};
    auto track = track_beats(evidence, heard.novelty, part, expected, settings);
    settings.early_share = 0.4;
    if (auto other = track_beats(evidence, heard.novelty, part, expected, settings); other.score > track.score + kHabit)
        track = std::move(other);
    else
        settings.early_share = 0.03;
    settings.deviation = 0.05;
    settings.reach_beats = 1;
    return track_beats(evidence, heard.novelty, part, track.seconds, settings);
}

void judge_chords(Hearing const& heard, ExpectedPart const& part, AlignedPart& found)
{
    for (std::size_t n = 0; n < found.spans.size(); ++n) {
        double const end = n + 1 < found.spans.size() ? found.spans[n + 1].seconds : found.beats.back();
        found.spans[n].chord = judge_chord(heard, part.spans[n].chord, found.spans[n].seconds, end);
    }
}

/// The novelty peaks in the middle of a strum and a change is where it starts: moves the beats by the median between.
void steady_beats(ExpectedPart const& part, AlignedPart& found)
{
    std::vector<double> late;
    for (std::size_t n = 0; n < found.spans.size(); ++n)
        if (!found.spans[n].early)
            late.push_back(found.beats[static_cast<std::size_t>(part.spans[n].first_beat)] - found.spans[n].seconds);
    if (late.empty())
        return;
    auto const middle = late.begin() + std::ssize(late) / 2;
    std::nth_element(late.begin(), middle, late.end());
    for (double& beat : found.beats)
        beat -= std::clamp(*middle, -0.03, 0.03);
}

/// The share of the beats on which the chord on paper is the one that sounds; every clear contradiction counts half
/// more.
double confidence(ExpectedPart const& part, AlignedPart const& found)
{
    double sum = 0;
    double beats = 0;
    for (std::size_t n = 0; n < found.spans.size(); ++n) {
        if (part.spans[n].chord.silent())
            continue;
        auto const& chord = found.spans[n].chord;
        double const share = chord.fit == Fit::differs ? -0.5 : std::clamp(0.5 - 10 * chord.lead, 0.0, 1.0);
        sum += share * part.spans[n].beats;
        beats += part.spans[n].beats;
    }
    return beats > 0 ? std::clamp(sum / beats, 0.0, 1.0) : 0.0;
}

} // namespace

AlignedPart place_part(Hearing const& heard, ChordEvidence const& evidence, ExpectedPart const& part,
                       Boundaries const& boundaries)
{
    auto const track = find_beats(heard, evidence, part, boundaries);
    AlignedPart result;
    result.found = true;
    result.beats = track.seconds;
    for (std::size_t n = 0; n < part.spans.size(); ++n) {
        auto const beat = static_cast<std::size_t>(part.spans[n].first_beat);
        double const length = track.seconds[beat + 1] - track.seconds[beat];
        HeardSpan span;
        span.early = track.early[n] != 0;
        double const expected = track.seconds[beat] - (span.early ? 0.5 * length : 0.0);
        auto const after = evidence.index_of(part.spans[n].chord);
        auto const before = n == 0 ? after : evidence.index_of(part.spans[n - 1].chord);
        auto const onset = refine_onset(heard, evidence, before, after, expected, 0.75 * length);
        span.seconds = onset.seconds;
        if (onset.margin < 2)
            span.second_best = onset.second_best;
        result.spans.push_back(std::move(span));
    }
    judge_chords(heard, part, result);
    steady_beats(part, result);
    result.confidence = confidence(part, result);
    return result;
}

} // namespace tabard::pipeline
