#include "pipeline/listen/align.h"

#include "pipeline/listen/chord_template.h"
#include "pipeline/listen/follow_part.h"
#include "pipeline/listen/part_order.h"
#include "pipeline/listen/semi_markov.h"
#include "pipeline/listen/stray_parts.h"
#include "pipeline/listen/stray_playing.h"

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
            auto const first = static_cast<std::size_t>((boundaries[p][n] + kEdge) / kChromaStep);
            auto const last = static_cast<std::size_t>(std::max(0.0, boundaries[p][n + 1] - kEdge) / kChromaStep);
            for (std::size_t frame = first; frame < last; ++frame)
                list.push_back(frame);
        }
    return frames;
}

/// How far a part may be from the author's rough place: nobody means more by it.
constexpr double kFar = 10; // seconds

/// What of the recording may be the part's: up to its neighbours, and no further than a long pause. `placed` are the
/// parts before it.
PartWindow window_of(ExpectedMusic const& chart, std::vector<Boundaries> const& boundaries,
                     std::vector<AlignedPart> const& placed, double seconds)
{
    constexpr double kAround = 45;
    constexpr double kOverlap = 0.5;
    std::size_t const part = placed.size();
    Stretch window{std::max(0.0, boundaries[part].front() - kAround),
                   std::min(seconds, boundaries[part].back() + kAround)};
    for (AlignedPart const& before : placed)
        if (before.found)
            window.from = std::max(window.from, before.beats.back() - kOverlap);
    for (std::size_t after = part + 1; after < boundaries.size(); ++after)
        if (!boundaries[after].empty())
            window.to = std::min(window.to, boundaries[after].front() + kOverlap);
    double const start = boundaries[part].front();
    return {window, chart[part].about ? Stretch{start - kFar, start + kFar} : window};
}

/// Whether a part was neither begun for the first time nor for good near the author's place.
bool is_far(ExpectedPart const& part, AlignedPart const& found)
{
    auto const far = [&](double start) { return std::abs(start - *part.about) > kFar; };
    return part.about && found.found && far(found.beats.front()) &&
           (found.deviations.empty() || found.deviations.front().beat > 0 || far(found.deviations.front().from));
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

template <typename T>
std::vector<T> reordered(std::vector<T> const& values, std::vector<std::size_t> const& order)
{
    std::vector<T> result;
    for (std::size_t const n : order)
        result.push_back(values[n]);
    return result;
}

} // namespace

double mean_beat(AlignedPart const& found)
{
    double seconds = found.beats.back() - found.beats.front();
    auto beats = static_cast<int>(found.beats.size()) - 1;
    for (Deviation const& deviation : found.deviations) {
        seconds -= deviation.beat == 0 ? 0 : deviation.to - deviation.from; // before the first beat nothing is counted
        beats -= deviation.next_beat - deviation.beat;
    }
    return seconds / std::max(beats, 1);
}

Alignment align(Hearing const& heard, ExpectedMusic const& written)
{
    Alignment result;
    result.transposition = find_transposition(heard, written);
    auto const as_filed = transposed(written, result.transposition.semitones);
    ChordEvidence evidence(heard, as_filed);
    CoarseSettings const coarse{.step = 0.093, .deviation = 0.15};
    auto const tempos = choose_tempos(evidence, heard.novelty, as_filed, coarse);
    auto places = align_parts(evidence, heard.novelty, as_filed, tempos, coarse);
    places = reorder_parts(lay_grid(evidence, heard.novelty, coarse.step), evidence, as_filed, tempos, coarse,
                           std::move(places));
    auto const order = played_order(places);
    auto const chart = reordered(as_filed, order);
    auto boundaries = reordered(places, order);
    evidence.adapt(frames_of_chords(evidence, chart, boundaries));

    auto played = reordered(tempos, order);
    for (std::size_t p = 0; p < chart.size(); ++p)
        if (!boundaries[p].empty())
            played[p] = (boundaries[p].back() - boundaries[p].front()) / chart[p].beats();
    CoarseSettings const fine{.step = 0.0465, .deviation = 0.08, .reach = 3};
    boundaries = align_parts(evidence, heard.novelty, chart, played, fine, boundaries);

    auto const grid = lay_grid(evidence, heard.novelty, fine.step);
    std::vector<AlignedPart> parts;
    for (std::size_t p = 0; p < chart.size(); ++p)
        parts.push_back(boundaries[p].empty() ? AlignedPart{}
                                              : follow_part(heard, evidence, grid, chart[p], boundaries[p],
                                                            window_of(chart, boundaries, parts, heard.seconds())));
    join_parts(parts);
    find_in_stray_playing(heard, evidence, grid, chart, played, parts);
    for (std::size_t p = 0; p < chart.size(); ++p)
        parts[p].elsewhere |= is_far(chart[p], parts[p]);
    result.stray = stray_playing(heard, stretches_of(parts));
    result.parts.resize(parts.size());
    for (std::size_t n = 0; n < order.size(); ++n)
        result.parts[order[n]] = std::move(parts[n]);
    return result;
}

} // namespace tabard::pipeline
