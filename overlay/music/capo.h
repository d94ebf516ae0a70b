#pragma once
#include "overlay/music/key.h"
#include "overlay/music/names/chord_name.h"
#include "overlay/music/shapes/shape.h"
#include "overlay/music/tuning.h"

#include <optional>
#include <vector>

namespace tabard::overlay {

/// Frets of a shape count from the capo; what sounds is open string + capo + fret. All capo values are frets, 0 for
/// none.

/// The MIDI number of each string of the shape, none where it is muted. The shape has as many strings as the tuning.
std::vector<std::optional<int>> sounding_pitches(Shape const& shape, Tuning const& tuning, int capo);

/// The string whose note is the lowest, counted as players do: 1 is the last of the tuning. 0 where nothing sounds.
int bass_string(Shape const& shape, Tuning const& tuning);

/// The key that sounds when shapes in `shapes` are played behind the capo, and back.
Key sounding_key(Key shapes, int capo);
Key shapes_key(Key sounding, int capo);

/// The chord that sounds when `played` is played behind the capo by someone who thinks in the key `shapes`.
ChordName sounding_chord(ChordName const& played, Key shapes, int capo);
/// The shape to play so that `wanted`, a chord of the key `sounding`, is heard.
ChordName shape_chord(ChordName const& wanted, Key sounding, int capo);

} // namespace tabard::overlay
