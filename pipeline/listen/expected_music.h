#pragma once
#include <compare>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// A chord as the ear meets it: sounding pitch classes (0 = C ... 11 = B), root first, then third, fifth and what is
/// added. `bass` is the sounding lowest pitch class. Without tones: no chord is to sound (N.C.).
struct HeardChord {
    std::vector<int> tones;
    int bass = -1;
    bool silent() const { return tones.empty(); }
    friend auto operator<=>(HeardChord const&, HeardChord const&) = default;
};

/// A chord over `beats` beats. A span never crosses a bar line, so a chord that is held comes as several spans.
struct ExpectedSpan {
    HeardChord chord;
    int first_beat = 0;
    int beats = 4;
};

/// What the author has fixed: this beat (0 = the part's first) is at this second of the film.
struct BeatPin {
    /// Where and when the playing goes on that stops at a pin.
    struct GoesOn {
        int beat = 0;       ///< the pin's own: a pause; a later one: what lies between is skipped
        double seconds = 0; ///< the pin's own: without a pause
    };
    int beat = 0;
    double seconds = 0;
    std::optional<GoesOn> goes_on{};
};

/// One stroke of a strum pattern.
struct ExpectedStroke {
    double beat = 0;     ///< of the part, from the pattern's first
    double weight = 1;   ///< how loud: an accent above 1, a ghost or muted stroke below
    bool ringing = true; ///< otherwise muted: it is heard, its chord is not
    bool full = true;    ///< otherwise a string or two: the chord comes bit by bit
};

/// What the right hand does over `beats` beats of a part, again and again from the first bar's first beat on. A beat on
/// which there is no stroke is passed in silence. Without strokes: nothing is known of it.
struct ExpectedStrokes {
    std::vector<ExpectedStroke> strokes; ///< rising
    int beats = 4;
};

/// One section's chart. Spans follow one another without gaps from beat 0. Seconds are film time.
struct ExpectedPart {
    std::vector<ExpectedSpan> spans;
    int beats_per_bar = 4;
    int first_in_bar = 0;        ///< beats of the first bar that lie before the part
    double beat_seconds = 0.6;   ///< the length of a beat that the author expects
    bool tempo_known = true;     ///< otherwise beat_seconds is a guess between half and twice the truth
    std::optional<double> about; ///< where the part starts, give or take some seconds; unknown without
    double about_deviation = 2;  ///< by how many seconds that is usually off
    ExpectedStrokes strokes{};   ///< the part's strum pattern
    std::vector<BeatPin> pins;   ///< hard: the alignment goes through them

    int beats() const { return spans.empty() ? 0 : spans.back().first_beat + spans.back().beats; }
    /// Whether span `index` brings another chord than the one before it (the first span does).
    bool changes(std::size_t index) const { return index == 0 || spans[index].chord != spans[index - 1].chord; }
};

/// The parts of a lesson in the order in which they are played.
using ExpectedMusic = std::vector<ExpectedPart>;

} // namespace tabard::pipeline
