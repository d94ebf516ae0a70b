#pragma once
#include "overlay/music/shapes/shape.h"
#include "overlay/music/tuning.h"

#include <compare>
#include <string>
#include <vector>

namespace tabard::overlay {

/// How far fret `fret` lies from the nut in millimetres: L - L / 2^(n/12), the rule of equal temperament.
double fret_position_mm(int fret, double scale_mm);

/// Something that a hand cannot do, or that the fingers of a shape say wrongly.
struct HandFault {
    enum class Kind {
        finger_without_fret, ///< a finger on a muted or an open string
        fret_without_finger, ///< a fretted string that no finger holds, though fingers are said
        finger_on_two_frets, ///< one finger at two places along the neck
        barre_over_lower,    ///< a finger lies over a string that is to sound open or lower
        not_enough_fingers,  ///< four fingers cannot hold these frets
        no_such_fret,        ///< a short string does not reach down there
    };
    Kind kind;
    std::size_t string = 0; ///< position in Shape::frets
    int finger = kNoFinger;
    friend auto operator<=>(HandFault const&, HandFault const&) = default;
};

enum class Reach {
    easy,      ///< up to 75 mm: four frets from the fourth fret up, three at the nut
    stretch,   ///< up to 130 mm
    impossible ///< more: frets 1 and 6 of a guitar
};

/// What a shape asks of the fretting hand. The limits of Reach are this project's own (common practice, no published
/// source). A hand that hurts must rest: no verdict here says that a shape is good for everyone.
struct HandVerdict {
    double span_mm = 0; ///< along the neck, between the lowest and the highest fret held
    int span_frets = 0;
    int fingers = 0;
    Reach reach = Reach::easy;
    std::vector<HandFault> faults;
    friend auto operator<=>(HandVerdict const&, HandVerdict const&) = default;

    bool playable() const { return faults.empty() && reach != Reach::impossible; }
};

/// Judges the shape as it lies on an instrument behind a capo. Fingers that nobody said are assigned first. The shape
/// has as many strings as the tuning.
HandVerdict judge_hand(Shape const& shape, Tuning const& tuning, double scale_mm, int capo = 0);

/// A fault in words: "finger 2 is on string 3, which is open".
std::string text_of(HandFault const& fault, Shape const& shape);
/// "3 fingers, 67 mm", "4 fingers, 97 mm, a stretch".
std::string text_of(HandVerdict const& verdict);

} // namespace tabard::overlay
