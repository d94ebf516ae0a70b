#pragma once
#include "pipeline/listen/chord_evidence.h"
#include "pipeline/listen/onset_novelty.h"
#include "pipeline/listen/stroke_marks.h"

#include <cstddef>
#include <map>
#include <span>
#include <vector>

namespace tabard::pipeline {

/// What players do that moves changes against the beats.
struct PlayingHabits {
    double early_share = 0.03; ///< how many changes come half a beat early
    bool bass_first = false;   ///< a change begins with the bass, and its other strings may come a beat later
};

/// What the recording around one part says of where its beats are, in nats. Instants are steps of a grid, one a novelty
/// hop, from a little before the part to a little after it.
class BeatEvidence {
public:
    /// Seconds before and after a part in which its first and last chord may ring.
    static constexpr double kAround = 12;

    /// Of `from` to `to` seconds of the recording.
    BeatEvidence(Hearing const& heard, ChordEvidence const& evidence, ExpectedPart const& part, double from, double to,
                 PlayingHabits habits);

    int size() const { return m_size; } ///< steps
    int step_at(double seconds) const;
    double seconds_at(int step) const { return (m_origin + step) * kNoveltyStep; }

    /// What speaks for the part beginning at a step.
    float begins(int at) const { return before(at) + on_beat(m_beats.front(), at); }
    /// What speaks for it ending there.
    float ends(int at) const;

    /// What speaks for one beat and for what begins at its end.
    struct Passage {
        float score = 0;
        bool early = false; ///< the chord of the next beat came half-way
    };
    /// That of a beat from `start` on, `shortest` steps long and longer by one and one step.
    void passages(int beat, int start, int shortest, std::span<Passage> longer) const;

private:
    using Sums = std::vector<float>; ///< prefix sums over steps
    struct Chord {
        Sums sounds; ///< what sounds
        Sums treble; ///< its treble's share
        Sums begins; ///< what sounds and what is struck
    };
    /// What is to be heard of a beat.
    struct Beat {
        BeatMarks const* pattern = nullptr;
        Chord const* chord = nullptr;
        Chord const* before = nullptr; ///< the chord that may ring on into it
        float onset = 0;               ///< nats for a sure onset on it
        float bass = 0;                ///< and for one of the bass strings
        double waiting = 0;            ///< the share of it in which a new chord need not sound
        double filling = 0;            ///< and in which only its bass must
        bool changes = false;          ///< it brings another chord than the beat before,
        bool passed = false;           ///< which comes with a stroke beside it
    };

    std::vector<Beat> plan(ChordEvidence const& evidence, ExpectedPart const& part);
    Chord const& chord(ChordEvidence const& evidence, HeardChord const& wanted);
    Sums read(std::span<float const> novelty) const;
    Sums news() const;
    template <typename Evidence>
    Sums weighted(Evidence const& evidence) const;
    void widen_onsets();
    void sum_strokes();
    /// How many sure onsets lie between two steps, but for those at the steps.
    float strokes_between(int from, int to) const;
    float before(int start) const;
    float on_beat(Beat const& beat, int at) const;
    float inside(BeatMarks const& pattern, int start, int length) const;
    Passage passage(Beat const& beat, Beat const* next, int start, int length) const;

    PlayingHabits m_habits;
    float m_early; ///< nats for a change half a beat early, and for one on its beat
    float m_on_time;
    std::vector<BeatMarks> m_marks; ///< a beat of the strum pattern
    int m_origin = 0;               ///< the grid's first step, in novelty hops of the recording
    int m_size = 0;
    Sums m_onsets; ///< how sure an onset is, and the same of strokes less even
    Sums m_wide_onsets;
    Sums m_bass;
    Sums m_strokes; ///< prefix sums of the onsets' peaks
    Sums m_news;    ///< how much each step's sound says
    Sums m_gap;
    std::map<std::size_t, Chord> m_chords;
    std::vector<Beat> m_beats;
};

} // namespace tabard::pipeline
