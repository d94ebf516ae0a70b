#pragma once
#include "overlay/music/names/chord_name.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

// The quality of a chord as MusicXML 4.0 says it: a kind and degrees that change it.
namespace tabard::overlay {

struct Degree {
    enum class Type { add, alter, subtract };
    int value = 1;
    int alter =
        0; ///< for `add` against a dominant chord, else against the degree of the kind (MusicXML 4.0, degree-alter)
    Type type = Type::add;
};

struct Kind {
    std::string_view name; ///< a kind-value
    std::vector<Degree> degrees;
};

Kind kind_of(ChordName const& chord);

/// Root C. None for a kind that has no chord name, or degrees that no name can say.
std::optional<ChordName> chord_of(std::string_view kind, std::vector<Degree> const& degrees);

} // namespace tabard::overlay
