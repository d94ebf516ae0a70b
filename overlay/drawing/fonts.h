#pragma once
#include <string>
#include <vector>

namespace tabard::overlay {

/// Those of `families` that are not installed: another face stands in for them, which a caller should say.
std::vector<std::string> missing_fonts(std::vector<std::string> const& families);

} // namespace tabard::overlay
