#pragma once
#include "sample_media/make/motion.h"
#include "sample_media/make/pen.h"

namespace tabard::lantern {

/// The guitar's own axes: origin in the middle of the sound hole, x along the neck towards the head, y towards the
/// high strings. In pixels; 0.70 of them a millimetre of a guitar with strings of 650 mm.
constexpr double kGuitarTurn = -14;
constexpr double kNut = 336;
constexpr double kBridge = -119;

/// Where the guitar is held, moving with the breath.
Point guitar_place(Pose const& pose);
/// Where the wire of fret `fret`, counted from the nut, crosses: the spacing of equal temperament.
double fret_x(double fret);
/// Where string 0 (lowest) .. 5 lies at `x`.
double string_y(double string, double x);

/// Draws it in its own axes.
void draw_guitar(Pen& pen, Pose const& pose);

} // namespace tabard::lantern
