#include "pipeline/listen/align.h"

#include "pipeline/listen/beat_viterbi.h"
#include "pipeline/listen/chord_template.h"
#include "pipeline/listen/onset_refinement.h"
#include "pipeline/listen/semi_markov.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {

namespace {

/// The chroma frames in which each chord sounds by an alignment, without its edges.
std::vector<std::vector<std::size_t>> frames_of_chords(ChordEvidence const& evidence, ExpectedMusic const& chart,
                                                       std::vector<Boundaries> const& boundaries)
{
    constexpr double kEdge = 0.06;
    std::vector<std::vector<std::size_t>> frames(evidence.chords());
    for (std::size_t p = 0; p < chart.size(); ++p)
        for (std::size_t n = 0; n + 1 < boundaries[p].size(); ++n) {
            auto& list = frames[evidence.index_of(chart[p].spans[n].chord)];
            auto const first = static_cast<std::size_t>((boundaries[p][n] + kEdge) * kListenRate / kChromaHop);
            auto const last =
                static_cast<std::size_t>(std::max(0.0, boundaries[p][n + 1] - kEdge) * kListenRate / kChromaHop);
            for (std::size_t frame = first; frame < last; ++frame)
                list.push_back(frame);
        }
    return frames;
}

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

AlignedPart place_spans(Hearing const& heard, ChordEvidence const& evidence, ExpectedPart const& part,
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

/// Playing of some length that no part accounts for.
std::vector<Stretch> stray_playing(Hearing const& heard, std::vector<AlignedPart> const& parts)
{
    constexpr double kRingOut = 3;  // seconds for which a part's last chord may sound
    constexpr double kShortest = 4; // seconds worth a word
    std::vector<Stretch> stray;
    for (ActivityStretch const& found : find_activity(heard)) {
        if (found.activity != Activity::played)
            continue;
        double from = found.stretch.from;
        for (AlignedPart const& part : parts) {
            if (!part.found || part.beats.back() + kRingOut < from || part.beats.front() > found.stretch.to)
                continue;
            if (part.beats.front() - 1 - from >= kShortest)
                stray.push_back({from, part.beats.front()});
            from = std::max(from, part.beats.back() + kRingOut);
        }
        if (found.stretch.to - from >= kShortest)
            stray.push_back({from, found.stretch.to});
    }
    return stray;
}

/// Nothing is struck where a part ends. Where the next part goes straight on, it ends there.
void join_parts(std::vector<AlignedPart>& parts)
{
    for (std::size_t p = 1; p < parts.size(); ++p) {
        if (!parts[p - 1].found || !parts[p].found)
            continue;
        auto& beats = parts[p - 1].beats;
        double const start = parts[p].spans.front().seconds;
        double const length = beats.back() - beats[beats.size() - 2];
        if (std::abs(beats.back() - start) < 0.3 * length)
            beats.back() = start;
    }
}

} // namespace

Alignment align(Hearing const& heard, ExpectedMusic const& written)
{
    Alignment result;
    result.transposition = find_transposition(heard, written);
    auto const chart = transposed(written, result.transposition.semitones);
    ChordEvidence evidence(heard, chart);
    CoarseSettings const coarse{.step = 0.093, .deviation = 0.15};
    auto const tempos = choose_tempos(evidence, heard.novelty, chart, coarse);
    auto boundaries = align_parts(evidence, heard.novelty, chart, tempos, coarse);
    evidence.adapt(frames_of_chords(evidence, chart, boundaries));

    std::vector<double> played(tempos);
    for (std::size_t p = 0; p < chart.size(); ++p)
        if (!boundaries[p].empty())
            played[p] = (boundaries[p].back() - boundaries[p].front()) / chart[p].beats();
    CoarseSettings const fine{.step = 0.0465, .deviation = 0.08, .reach = 3};
    boundaries = align_parts(evidence, heard.novelty, chart, played, fine, boundaries);

    for (std::size_t p = 0; p < chart.size(); ++p)
        result.parts.push_back(boundaries[p].empty() ? AlignedPart{}
                                                     : place_spans(heard, evidence, chart[p], boundaries[p]));
    join_parts(result.parts);
    result.stray = stray_playing(heard, result.parts);
    return result;
}

} // namespace tabard::pipeline
