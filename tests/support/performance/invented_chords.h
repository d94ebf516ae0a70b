#pragma once
#include "pipeline/listen/expected_music.h"

#include <array>
#include <string_view>
#include <vector>

namespace tabard::tests {

/// One string of a shape and the note it sounds.
struct ShapeNote {
    int string = 0; ///< 0 is the lowest
    int midi = 0;
};

/// Open strings from the lowest, standard tuning.
constexpr std::array<int, 6> kOpenStrings{40, 45, 50, 55, 59, 64};

/// Everyday shapes are numbered; the first ten are the plainest.
constexpr int kPlainShapes = 10;
std::vector<ShapeNote> notes_of_shape(int shape); ///< from the lowest string
std::string_view name_of_shape(int shape);
pipeline::HeardChord heard_shape(int shape);

/// Shapes that go together in a song.
using ChordFamily = std::array<int, 7>;
constexpr std::array<ChordFamily, 5> kFamilies{{
    {0, 1, 2, 3, 5, 10, 12},
    {1, 0, 4, 3, 2, 11, 19},
    {4, 1, 8, 9, 3, 21, 11},
    {0, 2, 6, 13, 14, 1, 5},
    {8, 4, 7, 9, 21, 15, 18},
}};

} // namespace tabard::tests
