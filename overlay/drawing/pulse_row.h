#pragma once
#include "overlay/drawing/box.h"
#include "overlay/music/meter.h"

#include <vector>

namespace tabard::overlay {

/// Boxes for `pulses` pulses side by side over `row`, `gap` apart. A pulse that begins a group stands further from the
/// one before it; none does where `groups` is 0.
std::vector<Box> pulse_row(Box row, int pulses, double gap, GroupStarts groups);

} // namespace tabard::overlay
