#include "tests/support/performance/performance.h"

#include "tests/support/performance/part_player.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

namespace tabard::tests {

namespace {

class Builder {
public:
    Builder(Manner const& manner, std::uint32_t seed) : m_manner(manner), m_dice(seed) {}

    Performance build()
    {
        m_performance.meter = m_manner.compound ? std::to_string(3 * m_manner.beats_per_bar) + "/8"
                                                : std::to_string(m_manner.beats_per_bar) + "/4";
        m_performance.swing = m_manner.swing;
        m_performance.seconds = m_dice.uniform(1.5, 4);
        double const tempo = m_dice.uniform(m_manner.tempo_low, m_manner.tempo_high);
        m_family = kFamilies[m_dice.random() % kFamilies.size()];
        auto const parts = static_cast<unsigned>(m_manner.parts);
        int const special = m_manner.order == PartOrder::as_written ? -1 : static_cast<int>(m_dice.more() % parts);
        for (int part = 0; part < m_manner.parts; ++part) {
            bool const repeats = m_manner.charts > 0 && part >= m_manner.charts;
            write(repeats ? WrittenPart(m_written[static_cast<std::size_t>(part % m_manner.charts)])
                          : write_part(m_manner, m_family, m_dice));
            double const beat_seconds = 60 / (tempo * m_dice.uniform(0.9, 1.1));
            if (part == special && m_manner.order == PartOrder::not_played) {
                leave_out(beat_seconds);
                continue;
            }
            play_part(beat_seconds);
            if (part == special && m_manner.order == PartOrder::twice)
                play_part_again(beat_seconds);
        }
        if (m_manner.order == PartOrder::other)
            turn_file_round();
        std::ranges::sort(m_performance.strikes, {}, &Strike::seconds);
        for (Strike& strike : m_performance.strikes)
            strike.midi += m_manner.capo;
        return std::move(m_performance);
    }

private:
    void write(WrittenPart part)
    {
        m_performance.chart.push_back(part.chart);
        m_performance.bars.push_back(part.bars);
        m_performance.strums.push_back(part.strum);
        m_written.push_back(std::move(part));
    }

    void play_part(double beat_seconds)
    {
        auto const course = time_part(beat_seconds);
        m_performance.parts.push_back(PartPlayer(m_manner, m_family, m_written.back(), m_dice, m_hands).play(course));
        ExpectedPart& part = m_performance.chart.back();
        if (!m_manner.places_written)
            part.about.reset();
        if (!m_manner.tempo_written) {
            part.tempo_known = false;
            part.beat_seconds = 0.6; // what is taken for a tempo where none is written
        }
        double const gap = m_manner.gap * m_dice.uniform(0.5, 1.5);
        if (m_manner.noodle)
            m_hands.noodle(m_performance.seconds + 0.5, m_performance.seconds + gap - 0.5);
        m_performance.seconds += gap;
    }

    void play_part_again(double beat_seconds)
    {
        PlayedPart first = std::move(m_performance.parts.back());
        m_performance.parts.pop_back();
        auto const about = m_performance.chart.back().about;
        play_part(beat_seconds);
        if (m_dice.more_chance(0.5))
            m_performance.chart.back().about = about;
        m_performance.parts.back().earlier.push_back({std::move(first.beats), std::move(first.span_starts)});
    }

    void leave_out(double beat_seconds)
    {
        ExpectedPart& part = m_performance.chart.back();
        part.beat_seconds = beat_seconds;
        if (m_manner.places_written)
            part.about = m_performance.seconds;
        m_performance.parts.emplace_back();
    }

    /// The parts of the file are no longer in the order in which they are played: none stays where it was.
    void turn_file_round()
    {
        auto const others = static_cast<unsigned>(m_manner.parts - 1);
        auto const turn = static_cast<std::ptrdiff_t>(1 + m_dice.more() % others);
        auto const rotate = [&](auto& list) { std::rotate(list.begin(), list.begin() + turn, list.end()); };
        rotate(m_performance.chart);
        rotate(m_performance.bars);
        rotate(m_performance.strums);
        rotate(m_performance.parts);
    }

    PartCourse time_part(double beat_seconds)
    {
        ExpectedPart& part = m_performance.chart.back();
        double time = m_performance.seconds + 0.3;
        double bend = 0;
        double const phase = m_dice.more_uniform(0, 6);
        auto const length_of = [&](int beat) {
            bend = std::clamp(bend + m_dice.normal(m_manner.drift / 3), -m_manner.drift, m_manner.drift);
            double const swell = std::sin(phase + 2 * std::numbers::pi * beat / (3.3 * m_manner.beats_per_bar));
            int const slow = 2 * m_manner.beats_per_bar;
            double const late = std::max(0, beat - (part.beats() - 1 - slow)) / static_cast<double>(slow);
            return beat_seconds * (1 + bend) * (1 + m_manner.rubato * swell) * (1 + m_manner.ritardando * late * late);
        };
        PartCourse course;
        if (m_manner.departure != Departure::none && m_dice.more_chance(m_manner.departing))
            course.turns = turns_of(m_manner.departure, part.beats(), m_manner.beats_per_bar, m_dice.more);
        auto const stretch = [&](int first, int last, bool extra) {
            course.stretches.push_back({first, extra, {time}});
            for (int beat = first; beat < last; ++beat)
                course.stretches.back().times.push_back(time += length_of(beat));
        };
        int next = 0;
        for (Turn const& turn : course.turns) {
            stretch(next, turn.at, false);
            if (turn.talk && turn.wait > 1.2)
                m_performance.talk.push_back({time + 0.3, time + turn.wait - 0.2});
            time += turn.wait;
            if (turn.extra_beats > 0)
                stretch(0, turn.extra_beats, true);
            next = turn.go_on_with;
        }
        stretch(next, part.beats(), false);
        length_of(part.beats()); // old kinds have always drawn one more
        part.beat_seconds = beat_seconds * (1 + m_dice.uniform(-1, 1) * m_manner.tempo_error);
        part.about = std::max(0.0, place_of(course.stretches) + m_dice.uniform(-1, 1) * m_manner.about_error);
        return course;
    }

    /// Where an author says that the part is: where it was first begun, or where it was begun for good.
    double place_of(std::vector<Stretched> const& stretches)
    {
        double const first = stretches.front().times.front();
        double const last = last_beats(stretches, m_performance.chart.back().beats()).front();
        return first == last || m_dice.more_chance(0.5) ? last : first;
    }

    using ExpectedPart = pipeline::ExpectedPart;

    Manner m_manner;
    Dice m_dice;
    Performance m_performance;
    Hands m_hands{m_manner, m_dice, m_performance};
    ChordFamily m_family{};
    std::vector<WrittenPart> m_written; ///< in the order in which it is played
};

} // namespace

Performance build_performance(Manner const& manner, std::uint32_t seed) { return Builder(manner, seed).build(); }

} // namespace tabard::tests
