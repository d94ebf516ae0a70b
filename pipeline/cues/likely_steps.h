#pragma once
#include "overlay/music/meter.h"

#include <optional>
#include <string>
#include <string_view>

namespace tabard::pipeline {

/// A strum pattern written in another way, as this program reads it: "D-DU-UDU", "down up", "d d u" or arrows as
/// "D - D U - U D U". Where its steps do not divide a bar of the meter, the hand passes (-) wherever it must so that it
/// goes down on each beat and up between two. None where that is no pattern for this meter either.
std::optional<std::string> likely_steps(std::string_view written, overlay::Meter meter);

/// Whether so many steps divide a bar evenly, or are divided so by its beats.
constexpr bool steps_fit(int steps, overlay::Meter meter)
{
    return steps > 0 && (steps % meter.beats == 0 || meter.beats % steps == 0);
}

} // namespace tabard::pipeline
