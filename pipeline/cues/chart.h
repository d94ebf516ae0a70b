#pragma once
#include "overlay/music/meter.h"
#include "pipeline/cues/bar_words.h"
#include "pipeline/cues/finding.h"

#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// A chord of a bar and how many beats of the meter as written (six in 6/8) it lasts. `name` is empty for N.C.
struct ChartChord {
    std::string name;
    int beats = 0;
    bool held = false; ///< goes on from the bar before: the bar begins with `/`
    SourcePosition at;
    friend bool operator==(ChartChord const& a, ChartChord const& b)
    {
        return a.name == b.name && a.beats == b.beats && a.held == b.held;
    }
};

/// One bar as written. A simile bar carries the chords of the bar it repeats.
struct WrittenBar {
    std::vector<ChartChord> chords;
    bool simile = false;       ///< written `%`
    bool opens_repeat = false; ///< `|:` before it
    int closes_repeat = 0;     ///< times the repeat ending with this bar is played; 0: no repeat ends here
    SourcePosition at;
    friend bool operator==(WrittenBar const& a, WrittenBar const& b)
    {
        return a.chords == b.chords && a.simile == b.simile && a.opens_repeat == b.opens_repeat &&
               a.closes_repeat == b.closes_repeat;
    }
};

/// The order of chords of a part: as written for paper, and as played for the film.
struct Chart {
    std::string text;
    overlay::Meter meter;
    overlay::NoteNames names = overlay::NoteNames::english; ///< of the notes of its chords
    std::vector<WrittenBar> written;
    std::vector<int> played; ///< indices into `written`, repeats expanded
    friend bool operator==(Chart const&, Chart const&) = default;

    int bars() const { return static_cast<int>(played.size()); }
    /// The bar that is played as number `bar`, from 1.
    WrittenBar const& bar(int number) const
    {
        return written[static_cast<std::size_t>(played[static_cast<std::size_t>(number - 1)])];
    }
};

/// Most bars a chart may play after its repeats are expanded.
constexpr int kMostBars = 4000;

/// What parse_chart() understood, and everything it did not.
struct ChartReading {
    Chart chart;
    std::vector<Finding> findings;
};

/// Reads "C | G/B | Fmaj7 / C / | % |: Am7 | N.C. :| x3". `|` ends a bar, chords without `/` share their bar evenly,
/// `/` is one more beat of the chord before it, `%` repeats the bar before, `|: :|` with an optional `x3` repeats what
/// is between (x2 without). Beats of a bar add up to the meter; in compound meters the pulses may be written instead
/// (two in 6/8). `places`: place in the file of each byte of `text` and one past it; empty where the text is no file's.
/// `known`: names with a shape of their own, which need not be chord names. `names`: of the notes.
ChartReading parse_chart(std::string_view text, overlay::Meter meter, std::vector<SourcePosition> const& places = {},
                         KnownName const& known = {}, overlay::NoteNames names = overlay::NoteNames::english);

/// How many bytes of white space `text` begins with at once: that of ASCII, and the no-break and wide spaces that
/// people copy with a chart; 0 for none.
std::size_t chart_space(std::string_view text);

} // namespace tabard::pipeline
