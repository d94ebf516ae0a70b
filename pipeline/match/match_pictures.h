#pragma once
#include "pipeline/match/match_sound.h"
#include "pipeline/match/picture_prints.h"

#include <span>
#include <vector>

namespace tabard::pipeline {

/// Which pieces of the old film are in the new one, by their pictures alone, in the order of the new film; boundaries
/// and offsets are whole frames of `rate`. None where too little moves to tell one picture from the next. Other
/// encoders and sizes are survived; speed changes, new framing and pictures laid over are not.
std::vector<MatchedPiece> match_pictures(std::span<PicturePrint const> before, std::span<PicturePrint const> after,
                                         FrameRate rate);

/// Share of the half seconds in which something moves.
double moving_share(std::span<PicturePrint const> film, FrameRate rate);

} // namespace tabard::pipeline
