#pragma once
#include "overlay/music/names/chord_name.h"
#include "overlay/music/shapes/shape.h"
#include "overlay/music/tuning.h"

#include <string>
#include <vector>

// What a shape must sound and what makes it good. For shape_search.cpp only.
namespace tabard::overlay {

constexpr int kWindow = 4; ///< frets that a hand covers in one position

/// What a chord asks of sounding notes, with bit sets of pitch classes.
class Wanted {
public:
    Wanted(ChordName const& chord, Tuning const& tuning);

    bool allows(int midi) const;
    /// Whether these notes, low string first, make the chord.
    bool met_by(std::vector<int> const& midi) const;

    unsigned fifth = 0;         ///< a perfect fifth that may be left out, if there is one
    bool two_tones = false;     ///< a power chord: two or three low strings are all there is to it
    bool bass_is_named = false; ///< a slash chord
    bool few_strings = false;   ///< four or less

private:
    unsigned m_allowed = 0;
    unsigned m_essential = 0;
    unsigned m_third = 0; ///< a major third under a sharp ninth, which is to lie above it
    unsigned m_sharp_nine = 0;
    int m_lowest = 0;
    std::size_t m_fewest = 3; ///< strings that must sound
    bool m_any_bass = false;
};

/// What makes a shape easy or hard, usual or not.
struct Features {
    int fingers = 0;
    int barre = 0;           ///< strings under the widest barre
    bool index_barre = true; ///< that barre is the index's
    int lowest = 0;          ///< lowest fret held, 0 for none
    int span = 0;            ///< frets from the lowest to the highest held
    int open = 0;
    int sounding = 0;
    int muted_below = 0;
    int muted_inside = 0;
    int muted_above = 0;
    int unisons = 0;       ///< neighbours that sound the same note
    double muddy_bass = 0; ///< how badly the two lowest notes blur
    bool stacked = false;  ///< fifth or octave over the lowest note
    unsigned pitch_classes = 0;
    bool little_finger = false;
    bool blocked_barre = false; ///< four strings held, two of them at the lowest fret with an open one between
};

Features features_of(Shape const& shape, Tuning const& tuning);

/// Lower is easier and more usual. The weights are this project's own: fitted so that a published collection of
/// voicings and the shapes of every beginner's book come first, to half of the chords of both, and measured with the
/// other half (see first_shapes_test.cpp).
double cost_of(Features const& features, Wanted const& wanted);

/// "open position, 3 fingers".
std::string reason_of(Features const& features);

} // namespace tabard::overlay
