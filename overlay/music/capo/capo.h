#pragma once
#include "overlay/music/names/chord_name.h"
#include "overlay/music/names/key.h"

namespace tabard::overlay {

// A capo is a fret, 0 for none.

/// The key that sounds when shapes in `shapes` are played behind the capo, and back.
Key sounding_key(Key shapes, int capo);
Key shapes_key(Key sounding, int capo);

/// The chord that sounds when `played` is played behind the capo by someone who thinks in the key `shapes`.
ChordName sounding_chord(ChordName const& played, Key shapes, int capo);
/// The shape to play so that `wanted`, a chord of the key `sounding`, is heard.
ChordName shape_chord(ChordName const& wanted, Key sounding, int capo);

} // namespace tabard::overlay
