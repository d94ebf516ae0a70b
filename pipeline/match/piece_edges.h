#pragma once
#include "pipeline/match/matched_piece.h"

#include <cstddef>
#include <span>
#include <vector>

namespace tabard::pipeline {

/// A piece and the reading of the new sound in which it was found.
struct PlacedPiece {
    MatchedPiece piece;
    std::size_t reading = 0;
    double spread = 0; ///< seconds: half of its measured offsets are that near its line
};

/// The two sounds, and the new one as it was read.
struct ComparedSounds {
    std::span<float const> before;
    std::span<float const> after;
    SoundFingerprint const& print; ///< of `before`
    std::vector<SoundReading> const& readings;
};

/// Joins pieces that only go on: over a hole, where the sound was switched off for a while, or where other sound lies
/// over it. Whether the joined piece is one line is for the caller to measure.
void join_pieces(ComparedSounds const& sounds, std::vector<PlacedPiece>& pieces);

/// Places the boundaries between neighbours, and between pieces and new material, to some milliseconds; none reaches
/// beyond either sound, and silence, which says nothing, belongs to the piece beside it. Drops what gets too short.
void place_edges(ComparedSounds const& sounds, std::vector<PlacedPiece>& pieces);

/// Seconds: shorter pieces are chance.
double shortest_piece(Playback playback);

} // namespace tabard::pipeline
