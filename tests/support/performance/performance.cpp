#include "tests/support/performance/performance.h"

#include "tests/support/performance/course.h"
#include "tests/support/performance/invented_chords.h"
#include "tests/support/performance/strokes.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>
#include <random>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace tabard::tests {

namespace {

using overlay::StrumStep;
using pipeline::ExpectedPart;
using pipeline::ExpectedSpan;
using Motion = StrumStep::Motion;

/// What the right hand does in the bars of a part.
struct RightHand {
    std::vector<Stroke> strokes; ///< of a bar
    bool free = true;            ///< made up by the player, not by a pattern

    bool strikes_at(double beat) const
    {
        return std::ranges::any_of(strokes, [=](Stroke const& one) { return std::abs(one.beat - beat) < 0.01; });
    }
};

class Builder {
public:
    Builder(Manner const& manner, std::uint32_t seed) : m_manner(manner), m_random(seed), m_more(seed ^ 0x9e3779b9U) {}

    Performance build()
    {
        m_performance.meter = m_manner.compound ? std::to_string(3 * m_manner.beats_per_bar) + "/8"
                                                : std::to_string(m_manner.beats_per_bar) + "/4";
        m_performance.swing = m_manner.swing;
        m_performance.seconds = uniform(1.5, 4);
        double const tempo = uniform(m_manner.tempo_low, m_manner.tempo_high);
        m_family = kFamilies[m_random() % kFamilies.size()];
        int const special = m_manner.order == PartOrder::as_written ? -1 : static_cast<int>(m_more() % parts());
        for (int part = 0; part < m_manner.parts; ++part) {
            if (m_manner.charts > 0 && part >= m_manner.charts)
                repeat_chart(static_cast<std::size_t>(part % m_manner.charts));
            else
                write_chart();
            double const beat_seconds = 60 / (tempo * uniform(0.9, 1.1));
            if (part == special && m_manner.order == PartOrder::not_played) {
                leave_out(beat_seconds);
                continue;
            }
            play_part(beat_seconds);
            if (part == special && m_manner.order == PartOrder::twice)
                play_part_again(beat_seconds);
        }
        if (m_manner.order == PartOrder::other)
            shuffle_file();
        std::ranges::sort(m_performance.strikes, {}, &Strike::seconds);
        for (Strike& strike : m_performance.strikes)
            strike.midi += m_manner.capo;
        return std::move(m_performance);
    }

private:
    unsigned parts() const { return static_cast<unsigned>(m_manner.parts); }
    double uniform(double low, double high) { return std::uniform_real_distribution<double>(low, high)(m_random); }
    double normal(double deviation) { return std::normal_distribution<double>(0, deviation)(m_random); }
    bool chance(double share) { return uniform(0, 1) < share; }
    // What came to the generator later draws from a source of its own, so that the old kinds stay as they were.
    double more_uniform(double low, double high) { return std::uniform_real_distribution<double>(low, high)(m_more); }
    bool more_chance(double share) { return more_uniform(0, 1) < share; }

    // --- the chart ---

    void write_chart()
    {
        ExpectedPart part;
        part.beats_per_bar = m_manner.beats_per_bar;
        m_shapes.clear();
        int beat = 0;
        auto const add = [&](int shape, int beats) {
            part.spans.push_back({heard_shape(shape), beat, beats});
            m_shapes.push_back(shape);
            beat += beats;
        };
        auto const other = [&] {
            int shape = m_family[m_random() % m_family.size()];
            while (!m_shapes.empty() && shape == m_shapes.back())
                shape = m_family[m_random() % m_family.size()];
            return shape;
        };
        for (int bar = 0; bar < m_manner.bars_per_part; ++bar) {
            double const kind = uniform(0, 1);
            if (!m_shapes.empty() && (kind < 0.15 || m_manner.one_chord)) {
                add(m_shapes.back(), m_manner.beats_per_bar);
            } else if (kind < 0.35 && m_manner.beats_per_bar == 4 && !m_manner.one_chord) {
                add(other(), 2);
                add(other(), 2);
            } else {
                add(other(), m_manner.beats_per_bar);
            }
        }
        std::string strum;
        RightHand hand;
        if (!m_manner.patterns.empty()) {
            strum = m_manner.patterns[m_more() % m_manner.patterns.size()];
            hand = {strokes_of(strum, m_manner.beats_per_bar, m_manner.swing), false};
            if (!more_chance(m_manner.written))
                strum.clear();
            if (!strum.empty())
                part.strokes = expected_strokes(hand.strokes, m_manner.beats_per_bar);
        }
        m_performance.strums.push_back(strum);
        m_performance.bars.push_back(bars_text(part));
        m_performance.chart.push_back(std::move(part));
        m_shapes_of_parts.push_back(m_shapes);
        m_hands.push_back(std::move(hand));
    }

    void repeat_chart(std::size_t part)
    {
        m_performance.strums.push_back(std::string(m_performance.strums[part]));
        m_performance.bars.push_back(std::string(m_performance.bars[part]));
        m_performance.chart.push_back(ExpectedPart(m_performance.chart[part]));
        m_shapes = m_shapes_of_parts[part];
        m_shapes_of_parts.push_back(m_shapes);
        m_hands.push_back(RightHand(m_hands[part]));
    }

    std::string bars_text(ExpectedPart const& part) const
    {
        std::string text;
        for (std::size_t n = 0; n < part.spans.size(); ++n) {
            if (n > 0)
                text += part.spans[n].first_beat % part.beats_per_bar == 0 ? " | " : " ";
            text += name_of_shape(m_shapes[n]);
            if (part.spans[n].beats < part.beats_per_bar)
                for (int beat = 1; beat < part.spans[n].beats; ++beat)
                    text += " /";
        }
        return text;
    }

    // --- the time ---

    void play_part(double beat_seconds)
    {
        auto const stretches = time_part(beat_seconds);
        strike_part(stretches);
        ExpectedPart& part = m_performance.chart.back();
        m_now.deviations = deviations_of(stretches);
        if (!m_manner.places_written)
            part.about.reset();
        if (!m_manner.tempo_written) {
            part.tempo_known = false;
            part.beat_seconds = 0.6; // what is taken for a tempo where none is written
        }
        m_performance.parts.push_back(std::exchange(m_now, {}));
        double const gap = m_manner.gap * uniform(0.5, 1.5);
        if (m_manner.noodle)
            noodle(m_performance.seconds + 0.5, m_performance.seconds + gap - 0.5);
        m_performance.seconds += gap;
    }

    void play_part_again(double beat_seconds)
    {
        PlayedPart first = std::move(m_performance.parts.back());
        m_performance.parts.pop_back();
        auto const about = m_performance.chart.back().about;
        play_part(beat_seconds);
        if (more_chance(0.5))
            m_performance.chart.back().about = about;
        PlayedPart& last = m_performance.parts.back();
        last.earlier = std::move(first.earlier);
        last.earlier.push_back({std::move(first.beats), std::move(first.span_starts)});
    }

    void leave_out(double beat_seconds)
    {
        ExpectedPart& part = m_performance.chart.back();
        part.beat_seconds = beat_seconds;
        part.about = m_performance.seconds;
        if (!m_manner.places_written)
            part.about.reset();
        m_performance.parts.emplace_back();
    }

    /// The parts of the file are no longer in the order in which they are played.
    void shuffle_file()
    {
        // Turned round by one to parts - 1 places: no part stays where it was.
        auto const turn = static_cast<std::ptrdiff_t>(1 + m_more() % (parts() - 1));
        auto const rotate = [&](auto& list) { std::rotate(list.begin(), list.begin() + turn, list.end()); };
        rotate(m_performance.chart);
        rotate(m_performance.bars);
        rotate(m_performance.strums);
        rotate(m_performance.parts);
    }

    std::vector<Stretched> time_part(double beat_seconds)
    {
        ExpectedPart& part = m_performance.chart.back();
        double time = m_performance.seconds + 0.3;
        double bend = 0;
        double const phase = more_uniform(0, 6);
        auto const length_of = [&](int beat) {
            bend = std::clamp(bend + normal(m_manner.drift / 3), -m_manner.drift, m_manner.drift);
            double const swell = std::sin(phase + 2 * std::numbers::pi * beat / (3.3 * m_manner.beats_per_bar));
            int const slow = 2 * m_manner.beats_per_bar;
            double const late = std::max(0, beat - (part.beats() - 1 - slow)) / static_cast<double>(slow);
            return beat_seconds * (1 + bend) * (1 + m_manner.rubato * swell) * (1 + m_manner.ritardando * late * late);
        };
        std::vector<Turn> turns;
        if (m_manner.departure != Departure::none && more_chance(m_manner.departing))
            turns = turns_of(m_manner.departure, part.beats(), m_manner.beats_per_bar, m_more);
        std::vector<Stretched> stretches;
        auto const stretch = [&](int first, int last, bool extra) {
            stretches.push_back({first, extra, {time}});
            for (int beat = first; beat < last; ++beat)
                stretches.back().times.push_back(time += length_of(beat));
        };
        int next = 0;
        m_turns = turns;
        for (Turn const& turn : turns) {
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
        m_now.beats = last_beats(stretches, part.beats());
        part.beat_seconds = beat_seconds * (1 + uniform(-1, 1) * m_manner.tempo_error);
        part.about = std::max(0.0, place_of(stretches) + uniform(-1, 1) * m_manner.about_error);
        return stretches;
    }

    /// Where an author says that the part is: where it was first begun, or where it was begun for good.
    double place_of(std::vector<Stretched> const& stretches)
    {
        double const first = stretches.front().times.front();
        return first == m_now.beats.front() || more_chance(0.5) ? m_now.beats.front() : first;
    }

    // --- the hands ---

    /// Strums that the player makes up.
    RightHand made_up()
    {
        int const halves = 2 * m_manner.beats_per_bar;
        RightHand hand;
        auto const add = [&](int half, bool down) {
            Stroke stroke{0.5 * half, {}};
            stroke.step.motion = down ? Motion::down : Motion::up;
            hand.strokes.push_back(stroke);
        };
        if (m_manner.picked) {
            for (int half = 0; half < halves; ++half)
                add(half, true);
            return hand;
        }
        double const busy = uniform(0, 1);
        for (int half = 0; half < halves; ++half) {
            bool const beat = half % 2 == 0;
            if (half == 0 || (m_manner.beats_per_bar == 4 && half == 4) || chance(beat ? 0.85 : busy))
                add(half, beat);
        }
        return hand;
    }

    /// Another bar than the pattern: strokes on the beats, busy between them.
    RightHand fill() const
    {
        RightHand hand{{}, false};
        for (int half = 0; half < 2 * m_manner.beats_per_bar; ++half) {
            Stroke stroke{0.5 * half, {}};
            stroke.step.motion = half % 2 == 0 ? Motion::down : Motion::up;
            hand.strokes.push_back(stroke);
        }
        return hand;
    }

    double time_at(double beat) const
    {
        auto const& beats = m_stretch->times;
        double const inside = beat - m_stretch->first_beat;
        auto const whole =
            std::clamp<std::size_t>(static_cast<std::size_t>(std::max(inside, 0.0)), 0, beats.size() - 2);
        return std::lerp(beats[whole], beats[whole + 1], inside - static_cast<double>(whole));
    }

    void strike_part(std::vector<Stretched> const& stretches)
    {
        ExpectedPart const& part = m_performance.chart.back();
        m_hand = m_manner.patterns.empty() ? made_up() : m_hands.back();
        std::vector<int> shapes = m_shapes;
        for (std::size_t span = 0; span < shapes.size(); ++span)
            if (chance(m_manner.wrong)) {
                shapes[span] = wrong_for(m_shapes[span]);
                m_now.wrong.push_back(static_cast<int>(span));
            }
        m_now.pushed.resize(part.spans.size());
        m_now.passed.resize(part.spans.size());
        m_now.span_starts.assign(part.spans.size(), std::numeric_limits<double>::quiet_NaN());
        std::size_t turn = 0;
        for (Stretched const& stretch : stretches) {
            m_stretch = &stretch;
            if (stretch.extra) {
                strike_extra(stretch, shapes);
                continue;
            }
            for (std::size_t span = 0; span < part.spans.size(); ++span)
                strike_shared(span, shapes[span]);
            if (&stretch != &stretches.back())
                leave(m_turns[turn++], stretch.times.back());
        }
        forget_what_was_skipped(stretches);
    }

    /// The beats of a span that the present stretch has.
    void strike_shared(std::size_t index, int shape)
    {
        ExpectedPart const& part = m_performance.chart.back();
        ExpectedSpan const& whole = part.spans[index];
        int const end = m_stretch->first_beat + m_stretch->beats();
        int const from = std::max(whole.first_beat, m_stretch->first_beat);
        int const to = std::min(whole.first_beat + whole.beats, end);
        if (from >= to)
            return;
        bool const begins = from == whole.first_beat;
        bool const change = part.changes(index) && index > 0 && begins;
        bool const may_push = change && from > m_stretch->first_beat;
        bool pushed = false;
        if (m_hand.free)
            pushed = index > 0 && change && chance(m_manner.push) && may_push;
        else if (may_push)
            pushed = comes_with_the_stroke_before(from);
        double const start = strike_span({whole.chord, from, to - from}, shape, pushed, change);
        if (begins) {
            m_now.span_starts[index] = start;
            m_now.pushed[index] = pushed;
            m_now.passed[index] = !m_hand.free && !m_hand.strikes_at(from % m_manner.beats_per_bar);
        }
    }

    bool comes_with_the_stroke_before(int beat)
    {
        int const in_bar = beat % m_manner.beats_per_bar;
        double const before = (in_bar + m_manner.beats_per_bar - 0.5) - (in_bar > 0 ? m_manner.beats_per_bar : 0);
        if (m_hand.strikes_at(in_bar))
            return more_chance(m_manner.push) && m_hand.strikes_at(before);
        return m_hand.strikes_at(before) && more_chance(m_manner.anticipate);
    }

    /// A bar that is not written: the last chord goes on, or another one comes.
    void strike_extra(Stretched const& stretch, std::vector<int> const& shapes)
    {
        int const shape = more_chance(0.5) ? shapes[m_more() % shapes.size()] : m_family[m_more() % m_family.size()];
        strike_span({{}, 0, stretch.beats()}, shape, false, true);
    }

    void leave(Turn const& turn, double time)
    {
        if (turn.mistake) {
            stroke(time, wrong_for(m_shapes[m_more() % m_shapes.size()]), down_stroke(), true);
            time += 0.25;
        }
        if (turn.wait > 0 && turn.stopped)
            stop_strings(time);
    }

    /// A chord that was struck in a pass that did not get beyond it, and left out in the last one, has no truth.
    void forget_what_was_skipped(std::vector<Stretched> const& stretches)
    {
        auto const& spans = m_performance.chart.back().spans;
        for (pipeline::Deviation const& one : deviations_of(stretches))
            if (one.kind == pipeline::Deviation::Kind::skipped)
                for (std::size_t span = 0; span < spans.size(); ++span)
                    if (spans[span].first_beat >= one.beat && spans[span].first_beat < one.next_beat)
                        m_now.span_starts[span] = std::numeric_limits<double>::quiet_NaN();
    }

    /// A chord that shares at most one tone with the one on paper.
    int wrong_for(int shape)
    {
        auto const wanted = heard_shape(shape).tones;
        for (;;) {
            int const other = static_cast<int>(m_random() % kPlainShapes);
            auto const tones = heard_shape(other).tones;
            auto const shared =
                std::ranges::count_if(tones, [&](int t) { return std::ranges::find(wanted, t) != wanted.end(); });
            if (shared <= 1)
                return other;
        }
    }

    static Stroke down_stroke()
    {
        Stroke stroke;
        stroke.step.motion = Motion::down;
        return stroke;
    }

    /// Strikes the beats of a chord and returns when its first stroke is.
    double strike_span(ExpectedSpan const& span, int shape, bool pushed, bool change)
    {
        std::optional<double> start;
        RightHand const hand = !m_hand.free && more_chance(m_manner.fills) ? fill() : m_hand;
        auto const stroke_at = [&](double beat, Stroke const& one) {
            double const time =
                time_at(beat) + std::clamp(normal(m_manner.jitter), -3 * m_manner.jitter, 3 * m_manner.jitter);
            if (!start) {
                if (change && chance(m_manner.open_strings))
                    strum_open(time - uniform(0.06, 0.15));
                cut_off(time);
            } else if (chance(m_manner.missed)) {
                return;
            }
            stroke(time, shape, one, !start);
            // A muted stroke has no chord.
            if (!one.step.muted)
                start = start.value_or(time);
        };
        if (pushed) {
            Stroke up = down_stroke();
            up.step.motion = Motion::up;
            stroke_at(span.first_beat - 0.5, up);
        }
        // A player begins with a stroke, whatever the pattern rests on.
        if (span.first_beat == m_stretch->first_beat && !hand.free && span.first_beat != 0 &&
            !hand.strikes_at(span.first_beat % m_manner.beats_per_bar))
            stroke_at(span.first_beat, down_stroke());
        for (int beat = span.first_beat; beat < span.first_beat + span.beats; ++beat) {
            int const in_bar = beat % m_manner.beats_per_bar;
            if (m_manner.stops_in_rests && !hand.strikes_at(in_bar))
                stop_strings(time_at(beat));
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

    /// What was to be played at or after the time that a new chord starts is not played (a push took its place).
    void cut_off(double time)
    {
        auto& strikes = m_performance.strikes;
        std::erase_if(strikes, [&](Strike const& strike) { return strike.seconds > time - 0.03; });
        m_performance.seconds = std::max(m_performance.seconds, time);
    }

    void stroke(double time, int shape, Stroke const& one, bool accent)
    {
        std::vector<Strike> strings;
        for (ShapeNote const& note : notes_of_shape(shape))
            strings.push_back({.string = note.string, .midi = note.midi});
        double const level = level_of(one.step, accent) * uniform(0.8, 1.2);
        double spread = m_manner.picked ? 0.005 : uniform(m_manner.spread_low, m_manner.spread_high);
        double rings = m_manner.rings;
        if (one.step.motion == Motion::pluck) {
            strings = plucked(strings, one.step.plucks);
            spread = 0.006;
            rings = 10;
        } else if (m_manner.picked) {
            if (!accent) {
                std::size_t const upper = 1 + m_random() % (strings.size() - 1);
                strings = {strings[upper]};
            } else {
                strings = {strings.front(), strings.back()};
            }
        } else if (one.step.motion == Motion::up) {
            std::ranges::reverse(strings);
            strings.resize(std::min<std::size_t>(strings.size(), 4));
        }
        if (one.step.muted)
            rings = mute(strings);
        for (std::size_t n = 0; n < strings.size(); ++n) {
            strings[n].seconds = time + spread * static_cast<double>(n) / 5;
            strings[n].level = static_cast<float>(level * uniform(0.85, 1.1));
            strings[n].rings = rings;
            m_performance.strikes.push_back(strings[n]);
        }
        m_performance.seconds = std::max(m_performance.seconds, time + 1);
    }

    double level_of(StrumStep const& step, bool first) const
    {
        if (m_hand.free)
            return first ? 0.9 : 0.65;
        double const plain = first ? 0.72 : 0.65;
        return (step.accent ? 0.95 : plain) * (step.motion == Motion::up ? 0.85 : 1) * (step.muted ? 0.8 : 1);
    }

    /// The strings that the fingers pluck; string 0 is the chord's lowest, and one that the chord leaves out is the
    /// next higher that it has.
    std::vector<Strike> plucked(std::vector<Strike> const& strings, std::vector<overlay::Pluck> const& plucks)
    {
        std::vector<Strike> result;
        for (overlay::Pluck const& pluck : plucks) {
            Strike chosen = strings.front();
            if (pluck.string > 0) {
                auto const found = std::ranges::find_if(
                    strings, [&](Strike const& strike) { return strike.string >= 6 - pluck.string; });
                chosen = found == strings.end() ? strings.back() : *found;
                if (more_chance(m_manner.passing_notes))
                    chosen.midi += 2;
            }
            if (std::ranges::find(result, chosen.string, &Strike::string) == result.end())
                result.push_back(chosen);
        }
        return result;
    }

    /// Damped by the hand: short, and of no certain pitch. Returns how long they ring.
    double mute(std::vector<Strike>& strings)
    {
        for (Strike& strike : strings)
            strike.midi += static_cast<int>(m_more() % 13);
        return more_uniform(0.03, 0.06);
    }

    void stop_strings(double time)
    {
        for (int string = 0; string < 6; ++string)
            m_performance.strikes.push_back({time + 0.002 * string, string, 60, 0});
    }

    void strum_open(double time)
    {
        for (int string = 0; string < 6; ++string)
            if (chance(0.7))
                m_performance.strikes.push_back(
                    {time + 0.004 * string, string, kOpenStrings[static_cast<std::size_t>(string)], 0.3F});
    }

    void noodle(double from, double to)
    {
        for (double time = from; time < to; time += uniform(0.15, 0.6))
            m_performance.strikes.push_back({time, 3 + static_cast<int>(m_random() % 3),
                                             55 + static_cast<int>(m_random() % 14),
                                             static_cast<float>(uniform(0.4, 0.9))});
    }

    Manner m_manner;
    std::mt19937 m_random;
    std::mt19937 m_more;
    Performance m_performance;
    ChordFamily m_family{};
    std::vector<std::vector<int>> m_shapes_of_parts; ///< a span
    std::vector<RightHand> m_hands;                  ///< a part; of patterns

    // Of the part being built:
    std::vector<int> m_shapes;
    std::vector<Turn> m_turns;
    PlayedPart m_now;
    RightHand m_hand;
    Stretched const* m_stretch = nullptr;
};

} // namespace

Performance build_performance(Manner const& manner, std::uint32_t seed) { return Builder(manner, seed).build(); }

} // namespace tabard::tests
