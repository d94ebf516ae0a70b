#pragma once
#include "overlay/music/names/chord_name.h"
#include "overlay/music/names/key.h"
#include "overlay/music/tuning.h"

#include <string>
#include <vector>

namespace tabard::overlay {

/// What one place of the capo makes of a song.
struct CapoChoice {
    int capo = 0;
    Key shapes;                    ///< the key the hand plays in
    std::vector<ChordName> chords; ///< the shapes for the song's chords, in their order
    std::vector<ChordName> barred; ///< those that need a barre or lie up the neck
    double cost = 0;               ///< for ranking: lower is easier for the fretting hand
    /// "capo 4: all 6 chords are open shapes in C", "capo 2: 5 of 6 chords are open shapes in D; Bm is not".
    std::string text() const;
};

/// Where to put the capo so that `sounding` chords of a song in `key` become easy shapes, best first; 0 means none.
/// Each chord is counted once however often it is listed.
std::vector<CapoChoice> advise_capo(std::vector<ChordName> const& sounding, Key key, Tuning const& tuning,
                                    int highest_capo = 7);

} // namespace tabard::overlay
