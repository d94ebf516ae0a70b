#pragma once
#include <vector>

namespace tabard::lantern {

/// The strings as the guitar's body passes them on: the air in the box, the lowest plates, and the broad rise that
/// makes it sound like wood. (Frequencies typical of a steel-string guitar: common practice, no published source.)
std::vector<float> in_the_body(std::vector<float> const& strings);

/// The guitar as heard outdoors on a stone quay: dry, with a little of it coming back. Left and right in turn, at about
/// -20 LUFS, with peaks bent softly under full scale.
std::vector<float> in_the_room(std::vector<float> const& guitar);

} // namespace tabard::lantern
