#pragma once
#include "tests/support/performance/dice.h"
#include "tests/support/performance/manner.h"
#include "tests/support/performance/performance.h"
#include "tests/support/performance/strokes.h"

#include <vector>

namespace tabard::tests {

/// What the right hand does in the bars of a part.
struct RightHand {
    std::vector<Stroke> strokes; ///< of a bar
    bool free = true;            ///< made up by the player, not by a pattern
    bool bass = false;           ///< bass notes and strums in turn: the strums leave the bass strings out

    bool strikes_at(double beat) const;
};

/// The strokes of a pattern.
RightHand by_pattern(std::vector<Stroke> strokes);

Stroke down_stroke();
Stroke up_stroke();

/// Strums that the player makes up.
RightHand made_up(Manner const& manner, Dice& dice);
/// Another bar than the pattern: strokes on the beats and between them.
RightHand fill(Manner const& manner);

/// The hands of a player: strokes become strings that are struck.
class Hands {
public:
    Hands(Manner const& manner, Dice& dice, Performance& performance)
        : m_manner(manner), m_dice(dice), m_performance(performance)
    {
    }

    /// One stroke of `hand`; `first`: of its chord.
    void stroke(double time, int shape, Stroke const& one, bool first, RightHand const& hand);
    /// One string alone.
    void pluck(double time, int string, int midi, float level);
    void stop_strings(double time);
    /// Open strings, while the left hand moves.
    void strum_open(double time);
    /// Single notes of no chart.
    void noodle(double from, double to);
    /// What was to be played at or after the time that a new chord starts is not played (a push took its place).
    void cut_off(double time);

private:
    std::vector<Strike> plucked(std::vector<Strike> const& strings, std::vector<overlay::Pluck> const& plucks);
    double mute(std::vector<Strike>& strings);

    Manner const& m_manner;
    Dice& m_dice;
    Performance& m_performance;
};

} // namespace tabard::tests
