#pragma once
#include "overlay/base/result.h"
#include "overlay/music/names/chord_name.h"
#include "overlay/music/shapes/shape.h"
#include "overlay/music/tuning.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::overlay {

/// A chord symbol with its diagram, as MusicXML keeps them together.
struct Harmony {
    ChordName chord;
    std::optional<Shape> shape;
    friend auto operator<=>(Harmony const&, Harmony const&) = default;
};

/// A MusicXML 4.0 document: one bar a chord, each a `harmony` with its `frame`. Frets count from the capo, whose place
/// stands in `staff-details` (its `capo` raises the `staff-tuning`, which is that of the open strings). A shape that
/// sounds no string has no frame, because a frame needs a note.
std::string to_musicxml(std::vector<Harmony> const& harmonies, Tuning const& tuning, int capo = 0);

/// Every `harmony` of a document, in order. Barres of a frame are kept, with fingers where it says none. Fails with
/// decode for broken XML. A harmony fails by itself, with decode or with unsupported, naming the kind, for chords that
/// this project has no name for (Neapolitan, Tristan ...). Nothing outside the text is ever loaded.
Result<std::vector<Result<Harmony>>> from_musicxml(std::string_view xml);

} // namespace tabard::overlay
