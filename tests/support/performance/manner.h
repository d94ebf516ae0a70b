#pragma once
#include <string>
#include <vector>

namespace tabard::tests {

/// How a built player leaves the chart inside a part.
enum class Departure {
    none,
    pause,        ///< stops at a bar line and goes on with the next bar
    pause_inside, ///< stops inside a bar and goes on with its next beat
    hold,         ///< lets a chord ring before the next bar
    extra,        ///< plays a bar that the chart does not have
    skip,         ///< leaves out a bar or two
    again,        ///< plays a bar or two once more
    restart_bar,  ///< stops after a mistake and begins the bar anew
    restart_part, ///< and begins the part anew
    any,          ///< one or two of these
};

/// Which parts of the chart are played, and when.
enum class PartOrder {
    as_written,
    other,      ///< not in the order of the file
    twice,      ///< one part is played twice
    not_played, ///< one part is not played
};

/// What a built player plays and how well.
struct Manner {
    int parts = 4;
    int bars_per_part = 8;
    int charts = 0; ///< different charts: later parts play them again in turn; 0 is one a part
    int beats_per_bar = 4;
    double spread_low = 0.010; ///< seconds from the first string of a strum to its last
    double spread_high = 0.040;
    double jitter = 0.008;     ///< standard deviation of a stroke against the beat, seconds
    double drift = 0.02;       ///< how far the tempo wanders, as a ratio
    double push = 0;           ///< share of the changes that come half a beat early
    double wrong = 0;          ///< share of the spans on which another chord is played
    double open_strings = 0;   ///< share of the changes with open strings struck while the hand moves
    double missed = 0;         ///< share of strokes that do not sound
    bool picked = false;       ///< finger-picked instead of strummed
    double gap = 4;            ///< seconds between parts
    bool noodle = false;       ///< single notes in the gaps
    int capo = 0;              ///< frets between the chart and the sound that the chart does not know of
    double about_error = 2;    ///< the author's place for a part is off by up to this many seconds
    double tempo_error = 0.06; ///< and the tempo by this ratio

    /// What the right hand does, one of these a part, in the words of the cue file ("D - D U - U D U"). Empty: strums
    /// that the player makes up and nobody writes down.
    std::vector<std::string> patterns{};
    double swing = 0.5;          ///< where an off-beat step of a pattern falls between its beat and the next
    double written = 1;          ///< share of the parts whose pattern the author wrote
    double fills = 0;            ///< share of the bars in which the player plays something else
    double anticipate = 0.7;     ///< share of the changes on a passed beat that come with the stroke before it
    double rings = 10;           ///< seconds that a strummed chord may ring before the hand stops it
    bool stops_in_rests = false; ///< the strings are stopped where the pattern rests on a beat
    bool compound = false;       ///< a beat is a dotted quarter: 2 beats in a bar are 6/8
    double tempo_low = 66;       ///< beats a minute
    double tempo_high = 126;
    bool one_chord = false;     ///< a part has one chord alone
    bool tempo_written = true;  ///< the author wrote a tempo
    bool places_written = true; ///< the author wrote roughly where the parts are
    double ritardando = 0;      ///< by what ratio the last beat is longer than the others; two bars lead to it
    double rubato = 0;          ///< by what ratio the tempo swells and ebbs over a few bars
    double passing_notes = 0;   ///< share of plucked notes that are none of the chord
    double runs = 0;            ///< share of the changes that two bass notes lead to
    double lifts = 0;           ///< share of the changes before which the hand lets go of the strings
    Departure departure = Departure::none;
    double departing = 0.75; ///< share of the parts that have the departure
    PartOrder order = PartOrder::as_written;
};

} // namespace tabard::tests
