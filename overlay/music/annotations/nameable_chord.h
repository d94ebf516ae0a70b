#pragma once
#include "overlay/music/names/chord_name.h"

#include <array>
#include <optional>

namespace tabard::overlay {

/// Which of the twelve half-steps above its root a chord has.
using Tones = std::array<bool, 12>;

/// The tones of a name, its bass left out.
Tones tones_of(ChordName const& chord);

/// The chord on C that has just these tones, and whose name reads as itself. None where there is no such name.
std::optional<ChordName> named_by_tones(Tones const& tones);

/// The same with as few tones left out or put in as it takes: a chord without its root gets it, one without third and
/// fifth its fifth; above them, what colours a chord goes first.
ChordName nearest_by_tones(Tones tones);

} // namespace tabard::overlay
