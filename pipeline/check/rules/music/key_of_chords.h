#pragma once
#include "overlay/music/names/chord_name.h"
#include "overlay/music/names/key.h"
#include "pipeline/check/rule.h"

#include <optional>
#include <vector>

namespace tabard::pipeline {

/// A chord of the charts and where it is first played.
struct PlayedName {
    std::string name;
    overlay::ChordName chord;
    Time time{0};
    SourcePosition at;
};
/// Each chord that is played once, in order; names that are no chords are left out.
std::vector<PlayedName> played_names(CheckInput const& input);

/// Whether root, third and fifth are tones of the key. A minor key has its raised seventh too.
bool belongs(overlay::ChordName const& chord, overlay::Key key);
int count_belonging(std::vector<PlayedName> const& names, overlay::Key key);

/// The key of the shapes, where the lesson says what sounds.
std::optional<overlay::Key> key_of_shapes(Lesson const& lesson);

/// Whether so many chords are foreign to the key of the shapes that key, capo or chords must be wrong.
bool key_is_wrong(std::vector<PlayedName> const& names, overlay::Key key);

} // namespace tabard::pipeline
