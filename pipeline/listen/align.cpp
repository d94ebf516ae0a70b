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
    return result;
}

} // namespace

Alignment align(Hearing const& heard, ExpectedMusic const& chart)
{
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

    Alignment result;
    for (std::size_t p = 0; p < chart.size(); ++p)
        result.parts.push_back(boundaries[p].empty() ? AlignedPart{}
                                                     : place_spans(heard, evidence, chart[p], boundaries[p]));
    return result;
}

} // namespace tabard::pipeline
