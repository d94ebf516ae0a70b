#include "pipeline/listen/align.h"

#include "pipeline/listen/chord_template.h"
#include "pipeline/listen/place_part.h"
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
                                                     : place_part(heard, evidence, chart[p], boundaries[p]));
    join_parts(result.parts);
    result.stray = stray_playing(heard, result.parts);
    return result;
}

} // namespace tabard::pipeline
