#pragma once
#include "pipeline/match/matched_piece.h"
#include "pipeline/time/time.h"

#include <string>
#include <vector>

namespace tabard::pipeline {

/// Pieces that run at one speed, as far as was measured, get one: a usual one (thousandths, a film of one frame rate
/// played at another) where it is as near as can be told. The middle of each stays where it is.
void settle_speeds(std::vector<MatchedPiece>& pieces);

/// What there is to say of speeds other than 1, a sentence each: what runs so, how fast, whether its pitch was kept.
std::vector<std::string> speed_remarks(std::vector<MatchedPiece> const& pieces);

} // namespace tabard::pipeline
