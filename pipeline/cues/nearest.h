#pragma once
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace tabard::pipeline {

/// The candidate that fewest single-letter edits (insert, remove, replace, swap neighbours; case ignored) make of
/// `word`; none where that takes more than a third of its letters, two at least.
std::optional<std::string> nearest(std::string_view word, std::span<std::string_view const> candidates);

} // namespace tabard::pipeline
