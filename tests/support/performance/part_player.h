#pragma once
#include "tests/support/performance/chart_writer.h"
#include "tests/support/performance/course.h"
#include "tests/support/performance/hands.h"

#include <vector>

namespace tabard::tests {

/// How the playing of one part runs.
struct PartCourse {
    std::vector<Stretched> stretches; ///< one behind the other in time
    std::vector<Turn> turns;          ///< one between two of them that are of the chart
};

/// Plays the chords of one part over its course, stroke by stroke.
class PartPlayer {
public:
    PartPlayer(Manner const& manner, ChordFamily const& family, WrittenPart const& written, Dice& dice, Hands& hands)
        : m_manner(manner), m_family(family), m_written(written), m_dice(dice), m_hands(hands)
    {
    }

    /// The truth about the spans; beats and deviations are of the course.
    PlayedPart play(PartCourse const& course);

private:
    void strike_shared(std::size_t index, int shape);
    bool comes_with_the_stroke_before(int beat);
    void lead_to(std::size_t next, int beat);
    void strike_extra(std::vector<int> const& shapes);
    void leave(Turn const& turn, double time);
    double strike_span(pipeline::ExpectedSpan const& span, int shape, bool pushed, bool change);
    double time_at(double beat) const;

    Manner const& m_manner;
    ChordFamily const& m_family;
    WrittenPart const& m_written;
    Dice& m_dice;
    Hands& m_hands;
    RightHand m_hand;
    Stretched const* m_stretch = nullptr; ///< the one being played
    PlayedPart m_played;
};

} // namespace tabard::tests
