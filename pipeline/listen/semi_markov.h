#pragma once
#include "pipeline/listen/chord_evidence.h"
#include "pipeline/listen/part_trellis.h"

#include <span>
#include <vector>

namespace tabard::pipeline {

/// Where one part of the chart lies in the recording: the start of every span and the end of the last, seconds.
/// Empty where the part was not found.
using Boundaries = std::vector<double>;

/// How finely and how strictly to align.
struct CoarseSettings {
    double step = 0.093;     ///< seconds between candidates for a boundary
    double deviation = 0.15; ///< standard deviation of the logarithm of a span's length
    double reach = 0;        ///< seconds around an earlier result to search; 0 is everywhere
};

/// Aligns all parts, in order, with gaps between them, by an explicit-duration (semi-Markov) Viterbi search: states are
/// the spans of the chart and how long each lasts is log-normal around what the tempo says (hidden semi-Markov models:
/// S.-Z. Yu, 2010). `beat_seconds` is the tempo to assume, one a part. `earlier` is needed with a reach.
std::vector<Boundaries> align_parts(ChordEvidence const& evidence, std::span<float const> novelty,
                                    ExpectedMusic const& chart, std::span<double const> beat_seconds,
                                    CoarseSettings const& settings, std::span<Boundaries const> earlier = {});

/// What each part scores at its own tempo and near its place, in nats above nothing of the chart being played there.
std::vector<double> score_parts(ChordEvidence const& evidence, std::span<float const> novelty,
                                ExpectedMusic const& chart, CoarseSettings const& settings);

/// The best of several tempos for each part, looking at each part alone around its place: seconds a beat.
std::vector<double> choose_tempos(ChordEvidence const& evidence, std::span<float const> novelty,
                                  ExpectedMusic const& chart, CoarseSettings const& settings);

/// Where a part may have been played.
struct PartPlace {
    Boundaries boundaries;
    double nats = 0; ///< above nothing of the chart being played there

    double from() const { return boundaries.front(); }
    double to() const { return boundaries.back(); }
};

/// The likeliest places of a part within a stretch, whatever the author says of its place, that overlap by a fifth of
/// it at most: best first, and none that is not likelier than nothing of the chart.
std::vector<PartPlace> places_of(EvidenceGrid const& grid, ChordEvidence const& evidence, ExpectedPart const& part,
                                 double beat_seconds, double deviation, double from, double to, std::size_t most = 6);

} // namespace tabard::pipeline
