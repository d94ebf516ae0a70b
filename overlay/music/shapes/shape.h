#pragma once
#include "overlay/base/result.h"

#include <compare>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::overlay {

constexpr int kMuted = -1;   ///< a string that is not to sound
constexpr int kNoFinger = 0; ///< open, muted or not said
constexpr int kThumb = 5;    ///< fretting thumb, written T; 1 index, 2 middle, 3 ring, 4 little

/// One finger laid over several strings: from `first_string` to `last_string` (positions in `frets`, low to high).
struct Barre {
    int fret = 1;
    int finger = 1;
    int first_string = 0;
    int last_string = 0;
    friend auto operator<=>(Barre const&, Barre const&) = default;
};

/// What the fretting hand does: one entry a string, in the order of the tuning (the string drawn leftmost first).
/// `frets`    kMuted, 0 open, or the fret counted from the capo (or the nut without one).
/// `fingers`  kNoFinger, 1..4 or kThumb; empty where nobody said.
struct Shape {
    std::vector<int> frets;
    std::vector<int> fingers;
    friend auto operator<=>(Shape const&, Shape const&) = default;

    /// Reads "x24432" or "x-10-12-12-12-10", and fingers like "-13421" (one sign a string, `T` the thumb, `-` none; may
    /// be empty). Fails with invalid_input, naming the position of the sign that is wrong, or both lengths where
    /// they differ.
    static Result<Shape> parse(std::string_view frets, std::string_view fingers = {});
    /// The shortest text that parse() reads back: "x24432", or with dashes where a fret needs two digits.
    std::string frets_text() const;
    std::string fingers_text() const;
    /// Strings that share finger and fret, with nothing lower between them. Empty where fingers are not known.
    std::vector<Barre> barres() const;
};

} // namespace tabard::overlay
