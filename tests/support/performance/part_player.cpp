#include "tests/support/performance/part_player.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

namespace tabard::tests {

using pipeline::ExpectedPart;
using pipeline::ExpectedSpan;

namespace {

constexpr double kNever = std::numeric_limits<double>::quiet_NaN();

/// A chord that was struck before and is left out of the last pass has no truth.
void forget_what_was_skipped(ExpectedPart const& chart, PlayedPart& played)
{
    for (pipeline::Deviation const& one : played.deviations)
        if (one.kind == pipeline::Deviation::Kind::skipped)
            for (std::size_t span = 0; span < chart.spans.size(); ++span)
                if (chart.spans[span].first_beat >= one.beat && chart.spans[span].first_beat < one.next_beat)
                    played.span_starts[span] = kNever;
}

} // namespace

PlayedPart PartPlayer::play(PartCourse const& course)
{
    ExpectedPart const& chart = m_written.chart;
    m_hand = m_manner.patterns.empty() ? made_up(m_manner, m_dice) : by_pattern(m_written.strokes);
    std::vector<int> shapes = m_written.shapes;
    for (std::size_t span = 0; span < shapes.size(); ++span)
        if (m_dice.chance(m_manner.wrong)) {
            shapes[span] = wrong_shape_for(m_written.shapes[span], m_dice);
            m_played.wrong.push_back(static_cast<int>(span));
        }
    m_played.beats = last_beats(course.stretches, chart.beats());
    m_played.deviations = deviations_of(course.stretches);
    m_played.pushed.resize(chart.spans.size());
    m_played.passed.resize(chart.spans.size());
    m_played.span_starts.assign(chart.spans.size(), kNever);
    std::size_t turn = 0;
    for (Stretched const& stretch : course.stretches) {
        m_stretch = &stretch;
        if (stretch.extra) {
            strike_extra(shapes);
            continue;
        }
        for (std::size_t span = 0; span < chart.spans.size(); ++span)
            strike_shared(span, shapes[span]);
        if (&stretch != &course.stretches.back())
            leave(course.turns[turn++], stretch.times.back());
    }
    forget_what_was_skipped(chart, m_played);
    return std::exchange(m_played, {});
}

/// The beats of a span that the present stretch has.
void PartPlayer::strike_shared(std::size_t index, int shape)
{
    ExpectedSpan const& whole = m_written.chart.spans[index];
    int const from = std::max(whole.first_beat, m_stretch->first_beat);
    int const to = std::min(whole.first_beat + whole.beats, m_stretch->first_beat + m_stretch->beats());
    if (from >= to)
        return;
    bool const begins = from == whole.first_beat;
    bool const change = m_written.chart.changes(index) && index > 0 && begins;
    bool const may_push = change && from > m_stretch->first_beat;
    bool pushed = false;
    if (m_hand.free)
        pushed = change && m_dice.chance(m_manner.push) && may_push;
    else if (may_push)
        pushed = comes_with_the_stroke_before(from);
    double const start = strike_span({whole.chord, from, to - from}, shape, pushed, change);
    if (to == whole.first_beat + whole.beats && index + 1 < m_written.shapes.size())
        lead_to(index + 1, to);
    if (begins) {
        m_played.span_starts[index] = start;
        m_played.pushed[index] = pushed;
        m_played.passed[index] = !m_hand.free && !m_hand.strikes_at(from % m_manner.beats_per_bar);
    }
}

bool PartPlayer::comes_with_the_stroke_before(int beat)
{
    int const in_bar = beat % m_manner.beats_per_bar;
    double const before = (in_bar > 0 ? in_bar : m_manner.beats_per_bar) - 0.5;
    if (m_hand.strikes_at(in_bar))
        return m_dice.more_chance(m_manner.push) && m_hand.strikes_at(before);
    return m_hand.strikes_at(before) && m_dice.more_chance(m_manner.anticipate);
}

/// What the hands do before the chord of span `next` comes on beat `beat`: a run of bass notes, a lift.
void PartPlayer::lead_to(std::size_t next, int beat)
{
    if (!m_written.chart.changes(next))
        return;
    if (m_manner.runs > 0 && m_dice.more_chance(m_manner.runs)) {
        int const from = notes_of_shape(m_written.shapes[next - 1]).front().midi;
        int const to = notes_of_shape(m_written.shapes[next]).front().midi;
        for (int step = 1; step <= 2; ++step) {
            int const midi = from + (to - from) * step / 3 + (from == to ? step : 0);
            m_hands.pluck(time_at(beat - 1.5 + 0.5 * step), midi < 45 ? 0 : 1, midi, 0.8F);
        }
    }
    if (m_manner.lifts > 0 && m_dice.more_chance(m_manner.lifts))
        m_hands.stop_strings(time_at(beat) - m_dice.more_uniform(0.06, 0.2));
}

/// A bar that is not written: some chord of the part or the song.
void PartPlayer::strike_extra(std::vector<int> const& shapes)
{
    int const shape =
        m_dice.more_chance(0.5) ? shapes[m_dice.more() % shapes.size()] : m_family[m_dice.more() % m_family.size()];
    strike_span({{}, 0, m_stretch->beats()}, shape, false, true);
}

void PartPlayer::leave(Turn const& turn, double time)
{
    if (turn.mistake) {
        auto const& shapes = m_written.shapes;
        m_hands.stroke(time, wrong_shape_for(shapes[m_dice.more() % shapes.size()], m_dice), down_stroke(), true,
                       m_hand);
        time += 0.25;
    }
    if (turn.wait > 0 && turn.stopped)
        m_hands.stop_strings(time);
}

double PartPlayer::time_at(double beat) const
{
    auto const& times = m_stretch->times;
    double const inside = beat - m_stretch->first_beat;
    auto const whole = std::clamp<std::size_t>(static_cast<std::size_t>(std::max(inside, 0.0)), 0, times.size() - 2);
    return std::lerp(times[whole], times[whole + 1], inside - static_cast<double>(whole));
}

/// Strikes the beats of a chord and returns when its first stroke is.
double PartPlayer::strike_span(ExpectedSpan const& span, int shape, bool pushed, bool change)
{
    std::optional<double> start;
    RightHand const hand = !m_hand.free && m_dice.more_chance(m_manner.fills) ? fill(m_manner) : m_hand;
    auto const stroke_at = [&](double beat, Stroke const& one) {
        double const most = 3 * m_manner.jitter;
        double const time = time_at(beat) + std::clamp(m_dice.normal(m_manner.jitter), -most, most);
        if (!start) {
            if (change && m_dice.chance(m_manner.open_strings))
                m_hands.strum_open(time - m_dice.uniform(0.06, 0.15));
            m_hands.cut_off(time);
        } else if (m_dice.chance(m_manner.missed)) {
            return;
        }
        m_hands.stroke(time, shape, one, !start, hand);
        if (!one.step.muted) // a muted stroke has no chord
            start = start.value_or(time);
    };
    if (pushed)
        stroke_at(span.first_beat - 0.5, up_stroke());
    // A player goes on with a stroke, whatever the pattern rests on.
    if (span.first_beat == m_stretch->first_beat && !hand.free && span.first_beat != 0 &&
        !hand.strikes_at(span.first_beat % m_manner.beats_per_bar))
        stroke_at(span.first_beat, down_stroke());
    for (int beat = span.first_beat; beat < span.first_beat + span.beats; ++beat) {
        int const in_bar = beat % m_manner.beats_per_bar;
        if (m_manner.stops_in_rests && !hand.strikes_at(in_bar))
            m_hands.stop_strings(time_at(beat));
        for (Stroke const& one : hand.strokes) {
            if (static_cast<int>(one.beat) != in_bar)
                continue;
            bool const on_start = beat == span.first_beat && one.beat == in_bar;
            if (pushed && on_start)
                continue; // the push stands for it
            stroke_at(beat + (one.beat - in_bar), one);
        }
    }
    if (!start) // no stroke of the pattern falls on this chord
        stroke_at(span.first_beat, down_stroke());
    return *start;
}

} // namespace tabard::tests
