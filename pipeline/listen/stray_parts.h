#pragma once
#include "pipeline/listen/align.h"
#include "pipeline/listen/chord_evidence.h"
#include "pipeline/listen/part_trellis.h"

#include <span>
#include <vector>

namespace tabard::pipeline {

/// Where the parts are that were found, in order of time. What one began anew is its own.
std::vector<Stretch> stretches_of(std::span<AlignedPart const> parts);

/// Tries the parts on the playing that none of them accounts for: one that was not found is placed where it sounds as
/// written, and every other place of a part is named in `also_at`. `beat_seconds` are the parts' tempos.
void find_in_stray_playing(Hearing const& heard, ChordEvidence const& evidence, EvidenceGrid const& grid,
                           ExpectedMusic const& chart, std::span<double const> beat_seconds,
                           std::vector<AlignedPart>& parts);

} // namespace tabard::pipeline
