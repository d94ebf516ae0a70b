#pragma once
#include "overlay/music/names/chord_name.h"
#include "overlay/music/names/key.h"
#include "overlay/music/shapes/shape.h"
#include "overlay/music/shapes/shape_verdict.h"
#include "overlay/music/tuning.h"

#include <optional>
#include <string>
#include <vector>

namespace tabard::overlay {

/// A name that fits a shape, and why.
struct ShapeName {
    ChordName chord;
    ShapeVerdict verdict;
    std::string reason; ///< "all its notes, root in the bass"
};

/// What the frets can be called, likeliest first: root in the bass before a slash chord, everyday qualities before rare
/// ones, complete chords before those that lack a fifth. One set of notes has several right names (C6 is Am7 over C),
/// so this is a list; it is empty for fewer than two different notes. Spelled for `key` where one is given.
std::vector<ShapeName> names_of(Shape const& shape, Tuning const& tuning, std::optional<Key> const& key = {},
                                std::size_t most = 5);

} // namespace tabard::overlay
