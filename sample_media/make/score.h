#pragma once
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::lantern {

/// Frets above the capo, so that shapes in A minor sound in C sharp minor.
constexpr int kCapo = 4;
/// Open strings as MIDI numbers, low to high (69 = 440 Hz).
constexpr int kOpenStrings[6] = {40, 45, 50, 55, 59, 64};

/// What the fretting hand holds, low string first: 'x' muted, '0' open, else a fret counted from the capo; and the
/// finger on each string ('-' none).
struct Grip {
    std::string_view name;
    std::string_view frets;
    std::string_view fingers;
};

/// The fretting hand holds `grip` in [from, to). All times are milliseconds of the film.
struct Hold {
    int from = 0;
    int to = 0;
    Grip const* grip = nullptr;
};

/// One movement of the playing hand. `at` is when its first string sounds.
struct Stroke {
    enum class Kind { down, up, tap, pass_down, pass_up, pluck, knock };
    int at = 0;
    Kind kind = Kind::down;
    bool accent = false;
    int spread = 10; ///< milliseconds from one string to the next
    int string = 0;  ///< for a pluck: 1 is the highest
    Grip const* grip = nullptr;
};

/// A chord of a chart on the film's clock.
struct ChartSpan {
    std::string chord;
    int from = 0;
    int beats = 0;
};

/// A part of the lesson. Parts with `bars` are played from `first_bar` on.
struct Part {
    std::string_view name;
    int from = 0;
    int to = 0;
    std::string_view bars;
    std::string_view strum; ///< name in kStrums
    int first_bar = 0;
    int tempo = 0;         ///< beats a minute; 0: as `pins` say
    int count_in = 0;      ///< bars
    std::vector<int> pins; ///< start of bar 1, 3, 5, ...
};

struct Strum {
    std::string_view name;
    std::string_view steps; ///< eight to the bar, as in the cue file
};

/// A single shape shown while the teacher talks.
struct Shown {
    std::string_view chord;
    int from = 0;
};

/// Everything that is seen and heard, once. Sound, picture and cue file are all made from this.
struct Score {
    int length = 0;
    std::vector<Part> parts;
    std::vector<Strum> strums;
    std::vector<Shown> shown;
    std::vector<Hold> holds;      ///< in order, without gaps
    std::vector<Stroke> strokes;  ///< in order
    std::vector<ChartSpan> chart; ///< in order
    std::vector<int> waves;       ///< when a greeting of two seconds begins
};

Score make_score();

/// The score as lines of text: the truth that listening and checking can be measured against.
std::string truth(Score const& score);

/// FNV-1a (64 bits) of truth(): tells whether a film was made from this score.
std::uint64_t digest(Score const& score);

/// The MIDI number that string `index` (low to high) of `grip` sounds with the capo on; -1 where it is muted.
int sounding_note(Grip const& grip, int index);

} // namespace tabard::lantern
