#pragma once
#include "overlay/music/shapes/shape.h"

#include <string>
#include <vector>

namespace tabard::overlay {

/// The strings in the opposite order, as a left-handed player's diagram shows them.
Shape mirrored(Shape const& shape);

/// A shape drawn with line characters for a terminal: strings upright, low string left (right for left-handed players),
/// finger numbers (or dots) where the fingers press, x and o above. Every line has equally many characters, and every
/// shape of one instrument as many lines as the next.
std::vector<std::string> text_diagram(Shape const& shape, bool left_handed = false);

} // namespace tabard::overlay
