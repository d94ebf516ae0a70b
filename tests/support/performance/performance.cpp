#include "tests/support/performance/performance.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace tabard::tests {

namespace {

using pipeline::ExpectedPart;
using pipeline::ExpectedSpan;
using pipeline::HeardChord;

constexpr std::array<int, 6> kOpen{40, 45, 50, 55, 59, 64};

/// The everyday shapes, frets from the lowest string; the tones are worked out from them. (Common practice.)
struct KnownShape {
    int root;
    std::string_view frets;
    std::string_view name;
};
constexpr std::array kShapes{
    KnownShape{0, "x32010", "C"},   KnownShape{7, "320003", "G"},     KnownShape{9, "x02210", "Am"},
    KnownShape{4, "022000", "Em"},  KnownShape{2, "xx0232", "D"},     KnownShape{5, "133211", "F"},
    KnownShape{2, "xx0231", "Dm"},  KnownShape{4, "022100", "E"},     KnownShape{9, "x02220", "A"},
    KnownShape{11, "x24432", "Bm"}, KnownShape{7, "x20003", "G/B"},   KnownShape{2, "200232", "D/F#"},
    KnownShape{9, "x02010", "Am7"}, KnownShape{5, "xx3210", "Fmaj7"}, KnownShape{0, "x32030", "Cadd9"},
    KnownShape{9, "x02020", "A7"},  KnownShape{2, "xx0212", "D7"},    KnownShape{4, "020100", "E7"},
    KnownShape{11, "x21202", "B7"}, KnownShape{4, "022030", "Em7"},   KnownShape{10, "x13331", "Bb"},
    KnownShape{6, "244222", "F#m"},
};
/// Chords that go together, as indices of kShapes.
constexpr std::array<std::array<int, 7>, 5> kFamilies{{
    {0, 1, 2, 3, 5, 10, 12},
    {1, 0, 4, 3, 2, 11, 19},
    {4, 1, 8, 9, 3, 21, 11},
    {0, 2, 6, 13, 14, 1, 5},
    {8, 4, 7, 9, 21, 15, 18},
}};

std::vector<Strike> strings_of(int shape)
{
    std::vector<Strike> strings;
    auto const frets = kShapes[static_cast<std::size_t>(shape)].frets;
    for (int string = 0; string < 6; ++string)
        if (char const fret = frets[static_cast<std::size_t>(string)]; fret != 'x')
            strings.push_back({.string = string, .midi = kOpen[static_cast<std::size_t>(string)] + fret - '0'});
    return strings;
}

HeardChord heard(int shape)
{
    int const root = kShapes[static_cast<std::size_t>(shape)].root;
    auto const strings = strings_of(shape);
    std::vector<int> tones;
    for (Strike const& strike : strings)
        tones.push_back(strike.midi % 12);
    // root, third, fifth, then what is added
    auto const rank = [root](int tone) {
        static constexpr std::array<int, 12> kRank{0, 9, 5, 1, 1, 3, 4, 4, 4, 6, 6, 6};
        return kRank[static_cast<std::size_t>((tone - root + 12) % 12)];
    };
    std::ranges::sort(tones, [&](int a, int b) { return std::pair(rank(a), a) < std::pair(rank(b), b); });
    tones.erase(std::unique(tones.begin(), tones.end()), tones.end());
    return {tones, strings.front().midi % 12};
}

/// One even step of a strum: where in the bar (in half beats) and which way.
struct Step {
    int half_beat;
    bool down;
};

class Builder {
public:
    Builder(Manner const& manner, std::uint32_t seed) : m_manner(manner), m_random(seed) {}

    Performance build()
    {
        m_performance.seconds = uniform(1.5, 4);
        double const tempo = uniform(66, 126);
        auto const& family = kFamilies[m_random() % kFamilies.size()];
        for (int part = 0; part < m_manner.parts; ++part) {
            if (m_manner.charts > 0 && part >= m_manner.charts)
                repeat_chart(static_cast<std::size_t>(part % m_manner.charts));
            else
                write_chart(family);
            time_part(60 / (tempo * uniform(0.9, 1.1)));
            strike_part();
            double const gap = m_manner.gap * uniform(0.5, 1.5);
            if (m_manner.noodle)
                noodle(m_performance.seconds + 0.5, m_performance.seconds + gap - 0.5);
            m_performance.seconds += gap;
        }
        std::ranges::sort(m_performance.strikes, {}, &Strike::seconds);
        for (Strike& strike : m_performance.strikes)
            strike.midi += m_manner.capo;
        return std::move(m_performance);
    }

private:
    double uniform(double low, double high) { return std::uniform_real_distribution<double>(low, high)(m_random); }
    double normal(double deviation) { return std::normal_distribution<double>(0, deviation)(m_random); }
    bool chance(double share) { return uniform(0, 1) < share; }

    void write_chart(std::array<int, 7> const& family)
    {
        ExpectedPart part;
        part.beats_per_bar = m_manner.beats_per_bar;
        m_shapes.clear();
        int beat = 0;
        auto const add = [&](int shape, int beats) {
            part.spans.push_back({heard(shape), beat, beats});
            m_shapes.push_back(shape);
            beat += beats;
        };
        auto const other = [&] {
            int shape = family[m_random() % family.size()];
            while (!m_shapes.empty() && shape == m_shapes.back())
                shape = family[m_random() % family.size()];
            return shape;
        };
        for (int bar = 0; bar < m_manner.bars_per_part; ++bar) {
            double const kind = uniform(0, 1);
            if (kind < 0.15 && !m_shapes.empty()) {
                add(m_shapes.back(), m_manner.beats_per_bar);
            } else if (kind < 0.35 && m_manner.beats_per_bar == 4) {
                add(other(), 2);
                add(other(), 2);
            } else {
                add(other(), m_manner.beats_per_bar);
            }
        }
        m_performance.bars.push_back(bars_text(part));
        m_performance.chart.push_back(std::move(part));
        m_shapes_of_parts.push_back(m_shapes);
    }

    void repeat_chart(std::size_t part)
    {
        m_performance.bars.push_back(m_performance.bars[part]);
        m_performance.chart.push_back(m_performance.chart[part]);
        m_shapes = m_shapes_of_parts[part];
        m_shapes_of_parts.push_back(m_shapes);
    }

    std::string bars_text(ExpectedPart const& part) const
    {
        std::string text;
        for (std::size_t n = 0; n < part.spans.size(); ++n) {
            if (n > 0)
                text += part.spans[n].first_beat % part.beats_per_bar == 0 ? " | " : " ";
            text += kShapes[static_cast<std::size_t>(m_shapes[n])].name;
            if (part.spans[n].beats < part.beats_per_bar)
                for (int beat = 1; beat < part.spans[n].beats; ++beat)
                    text += " /";
        }
        return text;
    }

    void time_part(double beat_seconds)
    {
        ExpectedPart& part = m_performance.chart.back();
        PlayedPart played;
        double time = m_performance.seconds + 0.3;
        double bend = 0;
        for (int beat = 0; beat <= part.beats(); ++beat) {
            played.beats.push_back(time);
            bend = std::clamp(bend + normal(m_manner.drift / 3), -m_manner.drift, m_manner.drift);
            time += beat_seconds * (1 + bend);
        }
        part.beat_seconds = beat_seconds * (1 + uniform(-1, 1) * m_manner.tempo_error);
        part.about = std::max(0.0, played.beats.front() + uniform(-1, 1) * m_manner.about_error);
        m_performance.parts.push_back(std::move(played));
    }

    std::vector<Step> bar_pattern()
    {
        int const halves = 2 * m_manner.beats_per_bar;
        std::vector<Step> steps;
        if (m_manner.picked) {
            for (int half = 0; half < halves; ++half)
                steps.push_back({half, true});
            return steps;
        }
        double const busy = uniform(0, 1);
        for (int half = 0; half < halves; ++half) {
            bool const beat = half % 2 == 0;
            if (half == 0 || (m_manner.beats_per_bar == 4 && half == 4) || chance(beat ? 0.85 : busy))
                steps.push_back({half, beat});
        }
        return steps;
    }

    double time_at(double beat) const
    {
        auto const& beats = m_performance.parts.back().beats;
        auto const whole = std::clamp<std::size_t>(static_cast<std::size_t>(std::max(beat, 0.0)), 0, beats.size() - 2);
        return std::lerp(beats[whole], beats[whole + 1], beat - static_cast<double>(whole));
    }

    void strike_part()
    {
        ExpectedPart const& part = m_performance.chart.back();
        auto const steps = bar_pattern();
        std::vector<int> shapes = m_shapes;
        PlayedPart& played = m_performance.parts.back();
        for (std::size_t span = 0; span < shapes.size(); ++span)
            if (chance(m_manner.wrong)) {
                shapes[span] = wrong_for(m_shapes[span]);
                played.wrong.push_back(static_cast<int>(span));
            }
        for (std::size_t span = 0; span < part.spans.size(); ++span) {
            bool const change = part.changes(span);
            bool const pushed = span > 0 && change && chance(m_manner.push);
            played.pushed.push_back(pushed);
            strike_span(part.spans[span], shapes[span], steps, pushed, change && span > 0);
        }
    }

    /// A chord that shares at most one tone with the one on paper.
    int wrong_for(int shape)
    {
        auto const wanted = heard(shape).tones;
        for (;;) {
            int const other = static_cast<int>(m_random() % 10);
            auto const tones = heard(other).tones;
            auto const shared =
                std::ranges::count_if(tones, [&](int t) { return std::ranges::find(wanted, t) != wanted.end(); });
            if (shared <= 1)
                return other;
        }
    }

    void strike_span(ExpectedSpan const& span, int shape, std::vector<Step> const& steps, bool pushed, bool change)
    {
        bool first = true;
        auto const stroke_at = [&](double beat, bool down) {
            double const time =
                time_at(beat) + std::clamp(normal(m_manner.jitter), -3 * m_manner.jitter, 3 * m_manner.jitter);
            if (first) {
                if (change && chance(m_manner.open_strings))
                    strum_open(time - uniform(0.06, 0.15));
                cut_off(time);
                m_performance.parts.back().span_starts.push_back(time);
            } else if (chance(m_manner.missed)) {
                return;
            }
            stroke(time, shape, down, first);
            first = false;
        };
        if (pushed)
            stroke_at(span.first_beat - 0.5, false);
        for (int beat = span.first_beat; beat < span.first_beat + span.beats; ++beat)
            for (Step const& step : steps) {
                if (step.half_beat / 2 != beat % m_manner.beats_per_bar)
                    continue;
                bool const on_start = beat == span.first_beat && step.half_beat % 2 == 0;
                if (pushed && on_start)
                    continue; // the push stands for it
                stroke_at(span.first_beat + (beat - span.first_beat) + 0.5 * (step.half_beat % 2), step.down);
            }
    }

    /// What was to be played at or after the time that a new chord starts is not played (a push took its place).
    void cut_off(double time)
    {
        auto& strikes = m_performance.strikes;
        std::erase_if(strikes, [&](Strike const& strike) { return strike.seconds > time - 0.03; });
        m_performance.seconds = std::max(m_performance.seconds, time);
    }

    void stroke(double time, int shape, bool down, bool accent)
    {
        auto strings = strings_of(shape);
        double const level = (accent ? 0.9 : 0.65) * uniform(0.8, 1.2);
        if (m_manner.picked) {
            if (!accent) {
                std::size_t const upper = 1 + m_random() % (strings.size() - 1);
                strings = {strings[upper]};
            } else {
                strings = {strings.front(), strings.back()};
            }
        } else if (!down) {
            std::ranges::reverse(strings);
            strings.resize(std::min<std::size_t>(strings.size(), 4));
        }
        double const spread = m_manner.picked ? 0.005 : uniform(m_manner.spread_low, m_manner.spread_high);
        for (std::size_t n = 0; n < strings.size(); ++n) {
            strings[n].seconds = time + spread * static_cast<double>(n) / 5;
            strings[n].level = static_cast<float>(level * uniform(0.85, 1.1));
            m_performance.strikes.push_back(strings[n]);
        }
        m_performance.seconds = std::max(m_performance.seconds, time + 1);
    }

    void strum_open(double time)
    {
        for (int string = 0; string < 6; ++string)
            if (chance(0.7))
                m_performance.strikes.push_back(
                    {time + 0.004 * string, string, kOpen[static_cast<std::size_t>(string)], 0.3F});
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
    Performance m_performance;
    std::vector<int> m_shapes; ///< a span of the part being built
    std::vector<std::vector<int>> m_shapes_of_parts;
};

} // namespace

Performance build_performance(Manner const& manner, std::uint32_t seed) { return Builder(manner, seed).build(); }

std::vector<float> play(Performance const& performance, NoteBank& bank, double cents)
{
    std::vector<float> sound(static_cast<std::size_t>((performance.seconds + 2) * kSampleRate));
    double const speed = std::exp2(cents / 1200);
    constexpr double kDamp = 0.02; // a struck string's old sound dies within this many seconds
    auto const& strikes = performance.strikes;
    for (std::size_t n = 0; n < strikes.size(); ++n) {
        double until = strikes[n].seconds + 3.5;
        for (std::size_t later = n + 1; later < strikes.size() && strikes[later].seconds < until; ++later)
            if (strikes[later].string == strikes[n].string)
                until = strikes[later].seconds;
        auto const& note = bank.note(strikes[n].midi);
        double const start = strikes[n].seconds * kSampleRate;
        auto const first = static_cast<std::size_t>(std::ceil(std::max(start, 0.0)));
        for (std::size_t at = first; at < sound.size(); ++at) {
            double const position = (static_cast<double>(at) - start) * speed;
            auto const whole = static_cast<std::size_t>(position);
            double const over = static_cast<double>(at) / kSampleRate - until;
            if (whole + 1 >= note.size() || over > kDamp)
                break;
            float const fraction = static_cast<float>(position - static_cast<double>(whole));
            float const damp = over > 0 ? static_cast<float>(1 - over / kDamp) : 1.0F;
            sound[at] += strikes[n].level * damp * std::lerp(note[whole], note[whole + 1], fraction);
        }
    }
    return sound;
}

} // namespace tabard::tests
