#pragma once
#include <cstddef>
#include <optional>
#include <span>
#include <string_view>

namespace tabard {

/// How many letters must be added, dropped, changed or swapped with their neighbour to make one word of the other;
/// upper and lower case of ASCII are the same letter.
std::size_t edit_distance(std::string_view a, std::string_view b);

/// The candidate that `word` was probably meant to be: the fewest edits away, at most two or a third of the word's
/// letters, and fewer than it has; the first of equals. None where nothing is near, and for words of more than 64
/// letters.
std::optional<std::string_view> nearest_word(std::string_view word, std::span<std::string_view const> candidates);

} // namespace tabard
