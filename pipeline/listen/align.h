#pragma once
#include "pipeline/listen/chord_fit.h"
#include "pipeline/listen/expected_music.h"
#include "pipeline/listen/hearing.h"
#include "pipeline/listen/playing.h"
#include "pipeline/listen/transposition.h"

#include <cstdint>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// A margin where there is nothing to compare with, in nats.
constexpr double kNoOther = 1e3;

/// One span of the chart as it was heard. Seconds are film time.
struct HeardSpan {
    double seconds = 0;                ///< the start of its first stroke
    std::optional<double> second_best; ///< another instant nearly as likely
    bool early = false;                ///< the chord came half a beat before its beat
    ChordFit chord;                    ///< whether it is the chord on paper
    bool passed = false; ///< the strum pattern passes its beat, so it sounds before or after: `seconds` is the beat's
};

/// Where the playing leaves the chart and goes on with it.
struct Deviation {
    enum class Kind {
        pause,   ///< nothing of the chart is played: talk, silence, a held chord
        extra,   ///< bars that the chart does not have
        again,   ///< bars that were played before, or the same bar begun anew: the last time is the one in `beats`
        skipped, ///< beats `beat` to `next_beat` are not played
    };
    Kind kind = Kind::pause;
    int beat = 0;             ///< the first of the chart that is not played in time before it
    int next_beat = 0;        ///< the chart goes on with this one; `beat` itself but where beats are skipped
    double from = 0;          ///< seconds: where beat `beat` would have begun
    double to = 0;            ///< where `next_beat` begins, as in AlignedPart::beats
    int again_from = 0;       ///< again: the first beat that is played once more
    double margin = kNoOther; ///< nats by which it beats the best reading that does not have it

    /// Of those that were reported of built performances half were false below it, one in four above (listen_bench).
    bool sure() const { return margin >= 4; }
};

/// By how much a part's reading beats the best one that lies elsewhere by up to a bar.
struct PhaseMargin {
    double nats = kNoOther; ///< what speaks for the reading beyond what speaks for the other
    double beats = 0;       ///< where the other lies: -0.5 is half a beat earlier
};

/// By how much the way that a part takes through its chart beats the best other one: one that leaves it where this one
/// does not, or does not where this one does.
struct PathMargin {
    double nats = kNoOther;
    int beat = 0;       ///< where the two part, as a beat of the chart,
    double seconds = 0; ///< and in the film
};

/// Another place at which a part was played from its first beat to the end of its last.
struct OtherPlace {
    Stretch played;
    double confidence = 0; ///< 0 to 1, as AlignedPart's
};

struct AlignedPart {
    bool found = false;
    double confidence = 0;        ///< 0 to 1
    std::vector<double> beats;    ///< beats + 1 times; empty where not found; skipped beats have the time of the next
    std::vector<HeardSpan> spans; ///< one a span of the chart; empty where not found
    std::vector<Deviation> deviations{}; ///< rising; a beat before one lasts until its `from`
    std::vector<OtherPlace> also_at{};   ///< best first; the author knows which is meant
    bool elsewhere = false;  ///< not where the parts' order and the author's times have it, but in playing left over
    double score = 0;        ///< nats: what speaks for it beyond what speaks for nothing of the chart being played
    PhaseMargin phase{};     ///< against readings that are shifted
    bool free_tempo = false; ///< its tempo swells and ebbs, or slows down: each beat is about as long as the one before
    PathMargin path{};       ///< against other ways through the chart
};

/// Seconds that a beat of a part takes which was found, without its pauses and what is skipped.
double mean_beat(AlignedPart const& found);

struct Alignment {
    std::vector<AlignedPart> parts;
    Transposition transposition; ///< the parts were found in this transposition of the chart
    std::vector<Stretch> stray;  ///< playing outside every part
};

/// Finds when each beat and each chord of a chart sounds in a recording. The parts are taken to come in the order in
/// which they are played, but those of which nobody said where they are may come in any; one that is not played is
/// reported as not found.
Alignment align(Hearing const& heard, ExpectedMusic const& chart);

} // namespace tabard::pipeline
