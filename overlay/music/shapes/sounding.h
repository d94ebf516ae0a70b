#pragma once
#include "overlay/music/shapes/shape.h"
#include "overlay/music/tuning.h"

#include <optional>
#include <vector>

// Frets of a shape count from the capo; what sounds is open string + capo + fret. A capo is a fret, 0 for none.
namespace tabard::overlay {

/// The MIDI number of each string of the shape, none where it is muted. The shape has as many strings as the tuning.
std::vector<std::optional<int>> sounding_pitches(Shape const& shape, Tuning const& tuning, int capo);

/// The string whose note is the lowest, counted as players do: 1 is the last of the tuning. 0 where nothing sounds.
int bass_string(Shape const& shape, Tuning const& tuning);

} // namespace tabard::overlay
