#pragma once
#include <optional>
#include <string>
#include <string_view>

namespace tabard::pipeline {

/// A strum pattern written in another way, as this program reads it: "D-DU-UDU", "down up", "d d u" or arrows as
/// "D - D U - U D U". None where that is no pattern either.
std::optional<std::string> likely_steps(std::string_view written);

} // namespace tabard::pipeline
