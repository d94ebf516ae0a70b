#pragma once
#include "overlay/drawing/bitmap.h"

#include <filesystem>
#include <string>

namespace tabard::tests {

/// Reads and writes PNG files; a file that cannot be read gives an empty bitmap.
overlay::Bitmap read_png(std::filesystem::path const& path);
void write_png(std::filesystem::path const& path, overlay::Bitmap const& bitmap);

/// How visibly two drawings differ: for each pixel and channel the difference, divided by how busy `golden` is around
/// it (1 + the larger of a quarter of its largest step to a side neighbour and an eighth of that to a diagonal one);
/// the worst of all. A pixel that wavers along an edge hardly counts, one that changes in a plain area does. Infinite
/// where the sizes differ.
double visibility(overlay::Bitmap const& actual, overlay::Bitmap const& golden);

/// A shift by a sixteenth of a pixel stays below it, one by a quarter does not (see golden_test.cpp).
constexpr double kVisible = 0.75;

/// "" if `actual` looks like tests/golden/NAME.png. Otherwise what to do, after writing actual, golden and an amplified
/// difference to build/golden/. With TABARD_BLESS=NAME in the environment the golden is replaced instead.
std::string compare_with_golden(std::string const& name, overlay::Bitmap const& actual);

} // namespace tabard::tests
