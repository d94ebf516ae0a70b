#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// How many things a message names before it counts the others.
constexpr std::size_t kMostNamed = 10;

/// "a, b, c"; of more than kMostNamed "a, b, ... and 12 more".
std::string short_list(std::vector<std::string> const& things, std::string_view separator = ", ");

} // namespace tabard::pipeline
