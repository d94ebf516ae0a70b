#pragma once
#include "overlay/music/names/chord_name.h"
#include "overlay/music/shapes/shape.h"
#include "overlay/music/tuning.h"

#include <compare>
#include <optional>
#include <string>
#include <vector>

namespace tabard::overlay {

/// A playable shape for a chord, with fingers.
struct FoundShape {
    Shape shape;
    double cost = 0;    ///< for ranking only: lower is easier and more usual
    std::string reason; ///< "open position, 3 fingers"
};

/// Shapes for a chord, best first: easy before hard, open before high on the neck. Essential tones are all there,
/// nothing foreign sounds, the bass is the one named (a re-entrant or four-string instrument may start on another
/// tone). Frets count from the capo, so the answer does not depend on it but for the room left on the neck. Empty for
/// N.C. and for chords that the instrument cannot hold.
std::vector<FoundShape> find_shapes(ChordName const& chord, Tuning const& tuning, std::size_t most = 8, int capo = 0);

/// The shapes that a player would think of first: the first of find_shapes(), and those that are hardly harder or less
/// usual. A shape with open strings at the nut is only joined by others of that kind.
std::vector<FoundShape> first_choices(ChordName const& chord, Tuning const& tuning, int capo = 0);

/// The first of them: what a diagram shows for a chord whose shape nobody gave.
std::optional<Shape> default_shape(ChordName const& chord, Tuning const& tuning);

} // namespace tabard::overlay
