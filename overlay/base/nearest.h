#pragma once
#include <cstddef>
#include <optional>
#include <string_view>
#include <vector>

namespace tabard {

/// How many letters must be added, dropped, changed or swapped with their neighbour to make one word of the other.
std::size_t edit_distance(std::string_view a, std::string_view b);

/// The candidate that `word` was probably meant to be: at most two edits and less than the whole word away, the first
/// of equals. None where nothing is near.
std::optional<std::string_view> nearest(std::string_view word, std::vector<std::string_view> const& candidates);

} // namespace tabard
