#pragma once
#include "overlay/music/shapes/shape_search.h"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace tabard::overlay {

/// A song for the hand: its chords, each with the shapes that it may have, and its parts as they are played.
struct SongForHand {
    static constexpr std::size_t kRest = static_cast<std::size_t>(-1); ///< no chord: the hand is free
    std::vector<std::vector<FoundShape>> chords; ///< best first, one at least; one alone where it is settled
    std::vector<std::vector<std::size_t>> parts; ///< indices into `chords`. After its last chord a part begins again
};

/// The shape of a chord among the others of its song.
struct ChosenShape {
    std::size_t option = 0; ///< index into its shapes
    /// The neighbour that another shape than the first is for, and how the fingers go between the two.
    std::optional<std::size_t> beside;
    std::string moves; ///< "fingers 3 and 4 stay"
};

/// One shape a chord, so that all changes of all parts together ask least of the hand: what each shape costs more than
/// the first one, as often as it is played, and movement_cost() of each change. Of equal choices the one whose earlier
/// chords have the earlier shapes.
std::vector<ChosenShape> shapes_together(SongForHand const& song);

} // namespace tabard::overlay
