#pragma once
#include "overlay/base/result.h"
#include "overlay/music/names/chord_name.h"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace tabard::overlay {

/// What one label of published chord annotations says.
struct ChordAnnotation {
    enum class Kind { chord, none, unknown }; ///< `none` is the label N, `unknown` is X
    Kind kind = Kind::chord;
    ChordName chord{};   ///< of `chord`
    bool exact = true;   ///< false: no name has these notes, and `chord` is the nearest that has one
    std::string notes{}; ///< what the label means where it is not exact: "C E G C#"
    friend bool operator==(ChordAnnotation const&, ChordAnnotation const&) = default;
};

/// Why a text is no label.
struct AnnotationMistake {
    std::size_t at = 0; ///< offset of the first byte that is not understood
    std::string what;   ///< what it is and what may stand there
};

/// Reads a label by the syntax of Harte, Sandler, Abdallah and Gómez, "Symbolic representation of musical chords: a
/// proposed syntax for text annotations" (ISMIR 2005): root, quality, degrees, bass as a degree ("Bb:min7(*5,b9)/b3"),
/// with the further shorthands that collections use since ("sus2", "maj13", "5"). Ordinary names without a colon
/// ("Bbm7") are read too. A chord is exact where its name has the same pitch classes and bass; their spelling may be
/// another one.
tl::expected<ChordAnnotation, AnnotationMistake> parse_chord_annotation(std::string_view label);

} // namespace tabard::overlay
