#pragma once
#include "pipeline/match/piece_edges.h"

#include <cstddef>
#include <vector>

namespace tabard::pipeline {

/// Pieces that follow each other with hardly a step between them in the old sound: the scraps that a slow change of
/// speed leaves, or one piece.
struct PieceChain {
    std::size_t first = 0; ///< index of the first piece
    std::size_t end = 0;   ///< behind the last
    double speed = 1;      ///< of the line that fits all of it best: seconds of the old sound in one of the new
    double from = 0;       ///< seconds of the new sound
    double to = 0;
    double offset = 0; ///< of that line, as MatchedPiece::offset
    double worst = 0;  ///< seconds by which an end of a piece lies off the line at most

    std::size_t pieces() const { return end - first; }
    double length() const { return to - from; }
};

std::vector<PieceChain> chains_of(std::vector<PlacedPiece> const& pieces);

} // namespace tabard::pipeline
