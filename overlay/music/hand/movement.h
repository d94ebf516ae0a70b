#pragma once
#include "overlay/music/shapes/shape.h"

#include <compare>
#include <string>
#include <vector>

namespace tabard::overlay {

/// Where one finger presses: a string (position in Shape::frets) and a fret counted from the capo. A barre has one hold
/// for each string under it.
struct Hold {
    int finger = 1;
    int string = 0;
    int fret = 1;
    friend auto operator<=>(Hold const&, Hold const&) = default;
};

/// What one finger does between two shapes.
struct FingerMove {
    enum class Kind {
        stays,  ///< the same finger on the same string and fret
        slides, ///< stays on the string and moves along it
        moves,  ///< goes to another string
        lifts,  ///< has nothing to do in the second shape
        lands,  ///< had nothing to do in the first
    };
    int finger = 1;
    Kind kind = Kind::stays;
    friend auto operator<=>(FingerMove const&, FingerMove const&) = default;
};

/// The holds of a shape, low string first; fingers that nobody said are assigned.
std::vector<Hold> holds_of(Shape const& shape);

/// What each finger that takes part does from one shape to the next, index first.
std::vector<FingerMove> moves_between(Shape const& from, Shape const& to);
/// The strings on which a finger stays.
std::vector<int> strings_that_stay(Shape const& from, Shape const& to);

/// What a change from the holds of one shape to those of another asks of the hand: 4 for a finger that lands or goes to
/// another string, 3 for one that slides, 1 for each fret by which the whole hand moves. A finger that stays or lifts
/// is free, and from the second that stays on each takes 4 away, since two hold the hand in its place. The weights are
/// this project's own. Never below zero.
int movement_cost(std::vector<Hold> const& before, std::vector<Hold> const& after);

/// "fingers 1 and 2 stay, 3 slides"; "no finger stays" where none does either.
std::string moves_text(Shape const& from, Shape const& to);

/// The holds that all shapes share: fingers that need never leave their place while these chords are played. Empty for
/// fewer than two different shapes.
std::vector<Hold> anchor_of(std::vector<Shape> const& shapes);
/// "keep fingers 3 and 4 on strings 2 and 1 (fret 3)", in the order of the fingers; empty for no anchor. `strings`: how
/// many the instrument has.
std::string anchor_text(std::vector<Hold> const& anchor, int strings);

} // namespace tabard::overlay
