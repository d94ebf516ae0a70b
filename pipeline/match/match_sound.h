#pragma once
#include "pipeline/match/matched_piece.h"

#include <span>
#include <vector>

namespace tabard::pipeline {

/// Which pieces of the old sound are in the new one (both at kMatchRate), in the order of the new one: by fingerprints
/// to the hop, by cross-correlation to hundredths of a millisecond, boundaries to some milliseconds. Removed, moved,
/// repeated and new pieces are found, and pieces of 2 s and more that run half to twice as fast, their pitch kept (to
/// some milliseconds) or not. Survives other levels, codecs, filters, noise taken out, and music laid over it.
std::vector<MatchedPiece> match_sound(std::span<float const> before, std::span<float const> after);

} // namespace tabard::pipeline
