#pragma once
#include "pipeline/check/rule.h"

#include <map>
#include <optional>
#include <string>

namespace tabard::pipeline {

// A line here and one in rules.cpp for each rule.
extern Rule const kNotJson;
extern Rule const kTooBig;
extern Rule const kUnknownKey;
extern Rule const kDuplicateKey;
extern Rule const kMissingKey;
extern Rule const kWrongType;
extern Rule const kBadValue;
extern Rule const kBadTime;
extern Rule const kBadShape;
extern Rule const kBadStrum;
extern Rule const kBadChart;
extern Rule const kBeatsInBar;
extern Rule const kUnknownStrum;
extern Rule const kNoLength;
extern Rule const kBadPin;
extern Rule const kPinOrder;
extern Rule const kNoTime;
extern Rule const kNoTempo;
extern Rule const kMinutesOrSeconds;

extern Rule const kLowContrast;
extern Rule const kCoversFace;
extern Rule const kCoversHands;
extern Rule const kFlashingOverlays;
extern Rule const kFlashingFootage;
extern Rule const kBlackPicture;
extern Rule const kFrozenPicture;
extern Rule const kCornerJumps;

extern Rule const kNoChords;
extern Rule const kEmptyText;
extern Rule const kChordGap;
extern Rule const kCueOverlap;
extern Rule const kOutsideFilm;
extern Rule const kOutsideSection;
extern Rule const kSectionOrder;
extern Rule const kSectionOverlap;
extern Rule const kBarsEndEarly;
extern Rule const kBarsCutOff;
extern Rule const kNothingPlayed;
extern Rule const kNeverShown;
extern Rule const kCountInRoom;
extern Rule const kShortPause;

extern Rule const kTooShort;
extern Rule const kBrief;
extern Rule const kShortPart;
extern Rule const kFastText;
extern Rule const kLongText;
extern Rule const kMissingSign;
extern Rule const kSmallLabels;
extern Rule const kCrowded;
extern Rule const kShortNotice;
extern Rule const kSmallPicture;
extern Rule const kCollidingLayers;

extern Rule const kUnknownChord;
extern Rule const kNoShape;
extern Rule const kWrongNotes;
extern Rule const kMissingTone;
extern Rule const kWrongBass;
extern Rule const kBadFingering;
extern Rule const kUnreachable;
extern Rule const kStretch;
extern Rule const kStrumMeter;
extern Rule const kKeyMismatch;
extern Rule const kForeignChord;
extern Rule const kTwoShapes;
extern Rule const kTempoJump;
extern Rule const kTempoRange;
extern Rule const kTempoFromEnds;

extern Rule const kNoFootage;
extern Rule const kCutFootage;
extern Rule const kDamagedFootage;
extern Rule const kOtherFootage;
extern Rule const kOtherCut;
extern Rule const kLoudness;
extern Rule const kStaleAccept;

} // namespace tabard::pipeline
