#pragma once
#include "pipeline/cues/finding_code.h"

#include <span>

namespace tabard::pipeline {

/// Codes of what compare_with_sound() finds. Each has a row in pipeline/check/README.md and a pair in
/// compare_with_sound_test.cpp.
extern FindingCode const kCueOffSound;
extern FindingCode const kChordNotAsWritten;
extern FindingCode const kCuesNotJudged;
extern FindingCode const kPartNotHeard;
extern FindingCode const kCapoNotAsHeard;
extern FindingCode const kPlayedWithoutChords;
extern FindingCode const kUnexpectedPlaying;

std::span<FindingCode const> listen_codes();

} // namespace tabard::pipeline
