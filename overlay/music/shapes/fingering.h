#pragma once
#include "overlay/music/shapes/shape.h"

#include <vector>

namespace tabard::overlay {

/// Fingers for the frets of a shape, as most players would set them: one finger a string from the lowest fret up, the
/// index as a barre where that saves fingers or there are more strings than fingers. Empty where four fingers cannot
/// hold it.
std::vector<int> assign_fingers(std::vector<int> const& frets);

} // namespace tabard::overlay
