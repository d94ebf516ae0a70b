#include "pipeline/listen/place_part.h"

#include "pipeline/listen/beat_viterbi.h"
#include "pipeline/listen/onset_refinement.h"
#include "pipeline/listen/stroke_marks.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>

namespace tabard::pipeline {

namespace {

constexpr double kKnown = 3; ///< nats for moving what was found to a part of a beat

/// Beats and by what habits of the player they were found.
struct Reading {
    BeatTrack track;
    BeatSettings settings;
};

bool keeps_one_chord(ExpectedPart const& part)
{
    for (std::size_t n = 1; n < part.spans.size(); ++n)
        if (part.changes(n))
            return false;
    return true;
}

/// Where the beats may be, to start from. One chord says nothing of the tempo, so the author's is tried as well.
std::vector<std::vector<double>> first_guesses(ExpectedPart const& part, Boundaries const& boundaries,
                                               double reach_beats)
{
    std::vector<std::vector<double>> guesses;
    guesses.push_back(beats_between(part, boundaries));
    if (!part.tempo_known || !keeps_one_chord(part) || reach_beats < 1)
        return guesses;
    double const length = part.beats() * part.beat_seconds;
    for (double const start : {boundaries.front(), boundaries.back() - length}) {
        auto& guess = guesses.emplace_back();
        for (int beat = 0; beat <= part.beats(); ++beat)
            guess.push_back(start + beat * part.beat_seconds);
    }
    return guesses;
}

/// A way of playing, and what must speak for it beyond what speaks for the plain one.
struct Manner {
    BeatSettings settings;
    double cost = 0; ///< nats
};

/// Some players anticipate many changes and most hardly any; some strike the bass alone first, which a strum pattern
/// says itself; some let the tempo swell and ebb or slow down at the end.
std::vector<Manner> manners(ExpectedPart const& part, double reach_beats)
{
    constexpr double kPushed = 10;   // phrases of half a beat's shift sound much like it
    constexpr double kBassFirst = 4; // not much in what is heard is like it
    constexpr double kFree = 12;
    BeatSettings const plain{.deviation = 0.08, .reach_beats = reach_beats};
    std::vector<Manner> all{{plain, 0}, {plain, kPushed}, {plain, kFree}};
    all[1].settings.habits.early_share = 0.4;
    all[2].settings.deviation = 0.2;
    all[2].settings.step_deviation = 0.06;
    all[2].settings.reach_beats = std::min(1.5, reach_beats); // else it would lead into what is played beside the part
    if (part.strokes.strokes.empty()) {
        all.push_back({plain, kBassFirst});
        all.back().settings.habits.bass_first = true;
    }
    return all;
}

/// The likeliest manner's beats: of each manner a search from all guesses, and a finer one from what that finds.
Reading find_beats(Hearing const& heard, ChordEvidence const& evidence, ExpectedPart const& part,
                   Boundaries const& boundaries, double reach_beats)
{
    auto const guesses = first_guesses(part, boundaries, reach_beats);
    Reading best;
    double best_score = 0;
    for (auto [settings, cost] : manners(part, reach_beats)) {
        BeatTrack track;
        for (auto const& guess : guesses)
            if (auto found = track_beats(heard, evidence, part, guess, settings);
                track.seconds.empty() || found.score > track.score)
                track = std::move(found);
        if (settings.step_deviation <= 0)
            settings.deviation = 0.05;
        settings.reach_beats = std::min(1.0, reach_beats);
        track = track_beats(heard, evidence, part, track.seconds, settings);
        double const score = track.score - cost;
        if (best.track.seconds.empty() || score > best_score) {
            best_score = score;
            best = {std::move(track), settings};
        }
    }
    return best;
}

/// The beats moved by `shift` beats, in their own tempo.
std::vector<double> shifted(std::vector<double> const& beats, double shift)
{
    std::vector<double> result;
    double const first = beats[1] - beats[0];
    double const last = beats.back() - beats[beats.size() - 2];
    auto const end = static_cast<double>(beats.size() - 1);
    for (std::size_t n = 0; n < beats.size(); ++n) {
        double const place = static_cast<double>(n) + shift;
        if (place <= 0)
            result.push_back(beats.front() + place * first);
        else if (place >= end)
            result.push_back(beats.back() + (place - end) * last);
        else
            result.push_back(std::lerp(beats[static_cast<std::size_t>(place)],
                                       beats[static_cast<std::size_t>(place) + 1], place - std::floor(place)));
    }
    return result;
}

/// Tracks again half a beat, a beat and a bar away, too close to come back. A reading that is better takes the place
/// of `reading`, by `least` nats at least. Pins leave no choice.
PhaseMargin settle_phase(Hearing const& heard, ChordEvidence const& evidence, ExpectedPart const& part, double least,
                         Stretch window, Reading& reading)
{
    if (!part.pins.empty())
        return {};
    struct Shifted {
        double beats = 0;
        double score = 0;
    };
    double const bar = part.beats_per_bar;
    auto settings = reading.settings;
    settings.reach_beats = 0.24;
    auto const settled = reading.track;
    std::vector<double> shifts{-0.5, 0.5, -1, 1};
    if (bar > 1 && reading.settings.reach_beats >= 1) // a stretch of a part is in the right bar
        shifts.insert(shifts.end(), {-bar, bar});
    std::vector<Shifted> all{{0, settled.score}};
    for (double const shift : shifts) {
        auto const expected = shifted(settled.seconds, shift);
        double const into = 0.4 * std::abs(expected[1] - expected[0]); // neither end is known to the step
        if (expected.front() < window.from - into || expected.back() > window.to + into)
            continue;
        auto other = track_beats(heard, evidence, part, expected, settings);
        all.push_back({shift, other.score});
        if (std::abs(shift) <= 1 &&
            other.score > reading.track.score + (reading.track.score == settled.score ? least : 0))
            reading.track = std::move(other);
    }
    std::ranges::sort(all, std::greater{}, &Shifted::score);
    auto const taken = std::ranges::find(all, reading.track.score, &Shifted::score);
    if (all.size() == 1)
        return {};
    auto const other = taken == all.begin() ? taken + 1 : all.begin();
    return {taken->score - other->score, other->beats - taken->beats};
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
        if (!found.spans[n].early && !found.spans[n].passed)
            late.push_back(found.beats[static_cast<std::size_t>(part.spans[n].first_beat)] - found.spans[n].seconds);
    if (late.empty())
        return;
    auto const middle = late.begin() + std::ssize(late) / 2;
    std::nth_element(late.begin(), middle, late.end());
    double const shift = std::clamp(*middle, -0.03, 0.03);
    for (double& beat : found.beats)
        beat -= shift;
    for (HeardSpan& span : found.spans)
        if (span.passed)
            span.seconds -= shift;
}

} // namespace

double confidence(ExpectedPart const& part, AlignedPart const& found)
{
    double sum = 0;
    double beats = 0;
    for (std::size_t n = 0; n < found.spans.size(); ++n) {
        if (part.spans[n].chord.silent())
            continue;
        sum += share_as_written(found.spans[n].chord) * part.spans[n].beats;
        beats += part.spans[n].beats;
    }
    return beats > 0 ? std::clamp(sum / beats, 0.0, 1.0) : 0.0;
}

AlignedPart place_part(Hearing const& heard, ChordEvidence const& evidence, ExpectedPart const& part,
                       Boundaries const& boundaries, double reach_beats, Stretch window)
{
    auto reading = find_beats(heard, evidence, part, boundaries, reach_beats);
    AlignedPart result;
    result.found = true;
    result.phase = settle_phase(heard, evidence, part, reach_beats < 1 ? kKnown : 0, window, reading);
    result.free_tempo = reading.settings.step_deviation > 0;
    auto const& track = reading.track;
    result.beats = track.seconds;
    result.score = track.score;
    auto const marks = stroke_marks(part.strokes);
    for (std::size_t n = 0; n < part.spans.size(); ++n) {
        auto const beat = static_cast<std::size_t>(part.spans[n].first_beat);
        double const length = track.seconds[beat + 1] - track.seconds[beat];
        HeardSpan span;
        BeatMarks const& pattern = marks_of(marks, part, part.spans[n].first_beat);
        span.passed = pattern.known && pattern.weight <= 0;
        if (span.passed) {
            span.seconds = track.seconds[beat];
            result.spans.push_back(std::move(span));
            continue;
        }
        span.early = track.early[n] != 0;
        double const expected = track.seconds[beat] - (span.early ? 0.5 * length : 0.0);
        auto const after = evidence.index_of(part.spans[n].chord);
        auto const before = n == 0 ? after : evidence.index_of(part.spans[n - 1].chord);
        auto const onset = refine_onset(heard, evidence, before, after, expected, std::min(0.4 * length, 0.25));
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
