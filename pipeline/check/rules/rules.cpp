#include "pipeline/check/rules/rules.h"

#include <algorithm>
#include <array>

namespace tabard::pipeline {

std::span<Rule const* const> all_rules()
{
    static std::array const kRules{
        // What the reader finds.
        &kNotJson, &kTooBig, &kUnknownKey, &kDuplicateKey, &kMissingKey, &kWrongType, &kBadValue, &kBadTime, &kBadShape,
        &kBadStrum, &kBadChart, &kBeatsInBar, &kUnknownStrum, &kNoLength, &kBadPin, &kPinOrder, &kNoTime, &kNoTempo,
        &kMinutesOrSeconds,
        // Coverage.
        &kChordGap, &kCueOverlap, &kOutsideFilm, &kOutsideSection, &kSectionOrder, &kSectionOverlap, &kBarsEndEarly,
        &kBarsCutOff, &kNothingPlayed, &kNoChords, &kNeverShown, &kCountInRoom, &kShortPause,
        // Readability.
        &kTooShort, &kBrief, &kShortPart, &kFastText, &kLongText, &kEmptyText, &kSmallLabels, &kMissingSign, &kCrowded,
        &kShortNotice, &kSmallPicture, &kCollidingLayers,
        // Music.
        &kUnknownChord, &kNoShape, &kWrongNotes, &kMissingTone, &kWrongBass, &kBadFingering, &kUnreachable, &kStretch,
        &kStrumMeter, &kKeyMismatch, &kForeignChord, &kTwoShapes, &kTempoJump, &kTempoRange, &kTempoFromEnds,
        // Picture.
        &kLowContrast, &kCoversFace, &kCoversHands, &kFlashingOverlays, &kFlashingFootage, &kBlackPicture,
        &kFrozenPicture, &kCornerJumps,
        // Files.
        &kNoFootage, &kCutFootage, &kDamagedFootage, &kOtherFootage, &kOtherCut, &kLoudness, &kStaleAccept};
    return kRules;
}

Rule const* find_rule(std::string_view code)
{
    auto const rules = all_rules();
    auto const found = std::ranges::find(rules, code, [](Rule const* rule) { return rule->code; });
    return found == rules.end() ? nullptr : *found;
}

} // namespace tabard::pipeline
