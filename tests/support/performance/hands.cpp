#include "tests/support/performance/hands.h"

#include "tests/support/performance/invented_chords.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace tabard::tests {

using Motion = overlay::StrumStep::Motion;

namespace {

double level_of(overlay::StrumStep const& step, bool first, RightHand const& hand)
{
    if (hand.free)
        return first ? 0.9 : 0.65;
    if (hand.bass && step.motion == Motion::pluck)
        return 0.95; // the thumb leans into what the strums answer
    double const plain = first ? 0.72 : 0.65;
    return (step.accent ? 0.95 : plain) * (step.motion == Motion::up ? 0.85 : 1) * (step.muted ? 0.8 : 1);
}

} // namespace

bool RightHand::strikes_at(double beat) const
{
    return std::ranges::any_of(strokes, [=](Stroke const& one) { return std::abs(one.beat - beat) < 0.01; });
}

RightHand by_pattern(std::vector<Stroke> strokes)
{
    auto const has = [&](Motion motion) {
        return std::ranges::count(strokes, motion, [](Stroke const& one) { return one.step.motion; }) > 0;
    };
    bool const bass = has(Motion::pluck) && has(Motion::down);
    return {std::move(strokes), false, bass};
}

Stroke down_stroke()
{
    Stroke stroke;
    stroke.step.motion = Motion::down;
    return stroke;
}

Stroke up_stroke()
{
    Stroke stroke;
    stroke.step.motion = Motion::up;
    return stroke;
}

RightHand made_up(Manner const& manner, Dice& dice)
{
    int const halves = 2 * manner.beats_per_bar;
    RightHand hand;
    auto const add = [&](int half, bool down) {
        hand.strokes.push_back(down ? down_stroke() : up_stroke());
        hand.strokes.back().beat = 0.5 * half;
    };
    if (manner.picked) {
        for (int half = 0; half < halves; ++half)
            add(half, true);
        return hand;
    }
    double const busy = dice.uniform(0, 1);
    for (int half = 0; half < halves; ++half) {
        bool const beat = half % 2 == 0;
        if (half == 0 || (manner.beats_per_bar == 4 && half == 4) || dice.chance(beat ? 0.85 : busy))
            add(half, beat);
    }
    return hand;
}

RightHand fill(Manner const& manner)
{
    RightHand hand;
    hand.free = false;
    for (int half = 0; half < 2 * manner.beats_per_bar; ++half) {
        hand.strokes.push_back(half % 2 == 0 ? down_stroke() : up_stroke());
        hand.strokes.back().beat = 0.5 * half;
    }
    return hand;
}

void Hands::stroke(double time, int shape, Stroke const& one, bool first, RightHand const& hand)
{
    std::vector<Strike> strings;
    for (ShapeNote const& note : notes_of_shape(shape))
        strings.push_back({.string = note.string, .midi = note.midi});
    double const level = level_of(one.step, first, hand) * m_dice.uniform(0.8, 1.2);
    double spread = m_manner.picked ? 0.005 : m_dice.uniform(m_manner.spread_low, m_manner.spread_high);
    double rings = m_manner.rings;
    if (one.step.motion == Motion::pluck) {
        strings = plucked(strings, one.step.plucks);
        spread = 0.006;
        rings = 10;
    } else if (m_manner.picked) {
        if (!first) {
            std::size_t const upper = 1 + m_dice.random() % (strings.size() - 1);
            strings = {strings[upper]};
        } else {
            strings = {strings.front(), strings.back()};
        }
    } else if (one.step.motion == Motion::up) {
        std::ranges::reverse(strings);
        strings.resize(std::min<std::size_t>(strings.size(), 4));
    } else if (hand.bass) {
        strings.erase(strings.begin(), strings.end() - std::min<std::ptrdiff_t>(std::ssize(strings), 4));
    }
    if (one.step.muted)
        rings = mute(strings);
    for (std::size_t n = 0; n < strings.size(); ++n) {
        strings[n].seconds = time + spread * static_cast<double>(n) / 5;
        strings[n].level = static_cast<float>(level * m_dice.uniform(0.85, 1.1));
        strings[n].rings = rings;
        m_performance.strikes.push_back(strings[n]);
    }
    m_performance.seconds = std::max(m_performance.seconds, time + 1);
}

/// The strings that the fingers pluck; string 0 is the chord's lowest, and one that the chord leaves out is the next
/// higher that it has.
std::vector<Strike> Hands::plucked(std::vector<Strike> const& strings, std::vector<overlay::Pluck> const& plucks)
{
    std::vector<Strike> result;
    for (overlay::Pluck const& pluck : plucks) {
        Strike chosen = strings.front();
        if (pluck.string > 0) {
            auto const found =
                std::ranges::find_if(strings, [&](Strike const& strike) { return strike.string >= 6 - pluck.string; });
            chosen = found == strings.end() ? strings.back() : *found;
            if (m_dice.more_chance(m_manner.passing_notes))
                chosen.midi += 2;
        }
        if (std::ranges::find(result, chosen.string, &Strike::string) == result.end())
            result.push_back(chosen);
    }
    return result;
}

/// Damped by the hand: short, and of no certain pitch. Returns how long they ring.
double Hands::mute(std::vector<Strike>& strings)
{
    for (Strike& strike : strings)
        strike.midi += static_cast<int>(m_dice.more() % 13);
    return m_dice.more_uniform(0.03, 0.06);
}

void Hands::pluck(double time, int string, int midi, float level)
{
    m_performance.strikes.push_back({time, string, midi, level});
}

void Hands::stop_strings(double time)
{
    for (int string = 0; string < 6; ++string)
        m_performance.strikes.push_back({time + 0.002 * string, string, 60, 0});
}

void Hands::strum_open(double time)
{
    for (int string = 0; string < 6; ++string)
        if (m_dice.chance(0.7))
            m_performance.strikes.push_back(
                {time + 0.004 * string, string, kOpenStrings[static_cast<std::size_t>(string)], 0.3F});
}

void Hands::noodle(double from, double to)
{
    for (double time = from; time < to; time += m_dice.uniform(0.15, 0.6))
        m_performance.strikes.push_back({time, 3 + static_cast<int>(m_dice.random() % 3),
                                         55 + static_cast<int>(m_dice.random() % 14),
                                         static_cast<float>(m_dice.uniform(0.4, 0.9))});
}

void Hands::cut_off(double time)
{
    std::erase_if(m_performance.strikes, [&](Strike const& strike) { return strike.seconds > time - 0.03; });
    m_performance.seconds = std::max(m_performance.seconds, time);
}

} // namespace tabard::tests
