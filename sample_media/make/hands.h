#pragma once
#include "sample_media/make/guitar.h"

namespace tabard::lantern {

constexpr Colour kSkin = 0xd9a07a;
constexpr Colour kSkinShade = 0xb57a58;
constexpr Colour kSleeve = 0xc9583f;
constexpr Colour kSleeveShade = 0xa3432f;

/// The elbow of an arm of two bones, bent to the left of the line from shoulder to wrist (`side` 1) or the right (-1).
Point elbow(Point shoulder, Point wrist, double upper, double lower, double side);

/// The fretting arm, in two layers with the guitar between them: arm, palm and thumb; then the fingers.
void draw_fretting_arm(Pen& pen, Pose const& pose);
void draw_fretting_fingers(Pen& pen, Pose const& pose);
/// The playing arm, over everything.
void draw_playing_arm(Pen& pen, Pose const& pose);

} // namespace tabard::lantern
