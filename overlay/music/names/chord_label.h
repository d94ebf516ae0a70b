#pragma once
#include <compare>
#include <string>

namespace tabard::overlay {

/// A chord name ready to be set in type, with real signs (U+266F, U+266D): base on the line ("F♯m"), raised small
/// ("7♭5"), and the bass after the slash ("E"; empty without). "N.C." stands in `base` alone.
/// A name that is no chord ("easy F") is carried whole in `base`.
struct ChordLabel {
    std::string base;
    std::string raised;
    std::string bass;
    friend auto operator<=>(ChordLabel const&, ChordLabel const&) = default;
};

} // namespace tabard::overlay
