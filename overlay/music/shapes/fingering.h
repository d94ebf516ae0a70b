#pragma once
#include "overlay/music/shapes/shape.h"

#include <vector>

namespace tabard::overlay {

/// Fingers for the frets of a shape, as most players would set them: one finger a string from the lowest fret up, the
/// index as a barre where that saves fingers or there are more strings than fingers. Empty where four fingers cannot
/// hold it.
std::vector<int> assign_fingers(std::vector<int> const& frets);

/// Gives each barre one finger over all its strings at its fret: the one that one of them has, else one that holds
/// nothing yet, the index first. Where the shape had no fingers at all, the other fretted strings get theirs too, as
/// far as there are.
void lay_barres(Shape& shape, std::vector<Barre> const& barres);

} // namespace tabard::overlay
