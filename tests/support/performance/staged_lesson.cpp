#include "tests/support/performance/staged_lesson.h"

#include "tests/support/performance/performance.h"
#include "tests/support/performance/room.h"
#include "tests/support/performance/talk.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <random>
#include <string_view>
#include <utility>

namespace tabard::tests {

namespace {

constexpr std::array<int, 6> kOpen{40, 45, 50, 55, 59, 64};
/// Everyday shapes, frets from the lowest string (common practice, no published source), and those that go together.
constexpr std::array<std::string_view, 11> kShapes{"x32010", "320003", "x02210", "022000", "xx0232", "133211",
                                                   "xx0231", "022100", "x02220", "x24432", "xx3211"};
constexpr std::array<std::array<int, 5>, 4> kFamilies{
    {{0, 1, 2, 5, 6}, {1, 0, 4, 3, 2}, {4, 1, 8, 9, 3}, {8, 4, 7, 9, 1}}};

std::vector<Strike> strings_of(int shape)
{
    std::vector<Strike> strings;
    for (int string = 0; string < 6; ++string)
        if (char const fret = kShapes[static_cast<std::size_t>(shape)][static_cast<std::size_t>(string)]; fret != 'x')
            strings.push_back({.string = string, .midi = kOpen[static_cast<std::size_t>(string)] + fret - '0'});
    return strings;
}

/// Talk of one of a few speakers.
std::vector<float> const& words_of(Voice voice, std::uint32_t number)
{
    static std::map<std::pair<Voice, std::size_t>, std::vector<float>> spoken;
    static constexpr std::array kVoices{"en-gb", "en-us", "en-gb-scotland", "en-us+f3", "en-gb+m5", "en-us+f5"};
    std::size_t const speaker = number % kVoices.size();
    auto const found = spoken.find({voice, speaker});
    if (found != spoken.end())
        return found->second;
    auto words = voice == Voice::recorded ? recorded_talk(static_cast<std::uint32_t>(speaker))
                                          : talk(kVoices[speaker], 130 + static_cast<int>(speaker) * 11);
    return spoken.emplace(std::pair{voice, speaker}, std::move(words)).first->second;
}

class Stage {
public:
    Stage(PlayingKind const& kind, Staging const& staging, std::uint32_t seed)
        : m_kind(kind), m_staging(staging), m_random(seed)
    {
        m_lesson.meter = kind.meter;
    }

    StagedLesson build(NoteBank& bank, std::uint32_t seed)
    {
        double const tempo = uniform(m_kind.slowest, m_kind.fastest);
        talk_for(m_staging.opening);
        for (int part = 0; part < m_staging.parts; ++part) {
            play_part(tempo * uniform(0.97, 1.03));
            m_now += m_staging.breath * uniform(0.7, 1.5);
            if (part + 1 < m_staging.parts)
                talk_for(m_staging.between * uniform(0.5, 1.5));
        }
        talk_for(m_staging.closing);
        m_playing.seconds = m_now;
        std::ranges::stable_sort(m_playing.strikes, {}, &Strike::seconds);
        auto& sound = m_lesson.sound;
        sound = play(m_playing, bank);
        sound.resize(static_cast<std::size_t>((m_now + 0.4) * kSampleRate));
        if (m_staging.singing > 0)
            add_singing(sound, m_playing, m_staging.singing);
        std::uint32_t number = seed;
        for (StagedStretch const& stretch : m_lesson.stretches)
            if (!stretch.played)
                add_voice(sound, words_of(m_staging.voice, number++), stretch.from, stretch.to, m_staging.voice_level);
        if (m_staging.reverb_seconds > 0)
            add_reverb(sound, m_staging.reverb_seconds, 0.35);
        add_noise(sound, m_staging.noise_decibels, seed);
        float const peak = std::abs(*std::ranges::max_element(sound, {}, [](float s) { return std::abs(s); }));
        for (float& sample : sound)
            sample *= 0.5F / peak;
        return std::move(m_lesson);
    }

private:
    double uniform(double low, double high) { return std::uniform_real_distribution<double>(low, high)(m_random); }
    double normal(double deviation) { return std::normal_distribution<double>(0, deviation)(m_random); }
    bool chance(double share) { return uniform(0, 1) < share; }

    void talk_for(double seconds)
    {
        if (seconds <= 0)
            return;
        m_now += 0.2;
        m_lesson.stretches.push_back({m_now, m_now + seconds, false, 0});
        m_now += seconds + m_staging.breath * uniform(0.3, 1.2);
    }

    /// Chords that change with the bar, some in its middle and some not at all.
    void play_part(double tempo)
    {
        auto const& family = kFamilies[m_random() % kFamilies.size()];
        auto const& pattern = m_kind.patterns[m_random() % m_kind.patterns.size()];
        int const bars = 6 + static_cast<int>(m_random() % 5);
        double const step = 60 / tempo * m_kind.meter.pulses() / static_cast<double>(pattern.size());
        double const from = m_now;
        int shape = family[m_random() % family.size()];
        bool const even = pattern.size() % 4 == 0;
        pipeline::ExpectedPart chart;
        PlayedPart played;
        for (int bar = 0; bar < bars; ++bar) {
            double const kind = uniform(0, 1);
            bool const halved = even && kind > 0.8;
            if (bar > 0 && kind > 0.15)
                shape = other_than(shape, family);
            double time = m_now;
            for (std::size_t n = 0; n < pattern.size(); ++n) {
                if (halved && n == pattern.size() / 2)
                    shape = other_than(shape, family);
                if (n == 0 || (halved && n == pattern.size() / 2)) {
                    chart.spans.push_back({{tones_of(shape), 0}, 0, 1});
                    played.span_starts.push_back(time);
                }
                strike(pattern[n], time + normal(0.008), shape);
                time += step * (1 + std::clamp(normal(0.01), -0.03, 0.03));
            }
            m_now = time;
        }
        strike('D', m_now, shape); // the last chord rings
        m_now += uniform(1.2, 2);
        played.beats = {from, m_now};
        m_playing.chart.push_back(std::move(chart));
        m_playing.parts.push_back(std::move(played));
        m_lesson.stretches.push_back({from, m_now, true, tempo});
    }

    int other_than(int shape, std::array<int, 5> const& family)
    {
        for (;;)
            if (int const next = family[m_random() % family.size()]; next != shape)
                return next;
    }

    static std::vector<int> tones_of(int shape)
    {
        std::vector<int> tones;
        for (Strike const& string : strings_of(shape))
            tones.push_back(string.midi % 12);
        return tones;
    }

    void strike(char stroke, double time, int shape)
    {
        auto strings = strings_of(shape);
        float level = 0.9F;
        switch (stroke) {
        case '-':
            return;
        case 'D':
            break;
        case 'd':
            level = 0.55F;
            break;
        case 'U':
            std::ranges::reverse(strings);
            strings.resize(4);
            level = 0.6F;
            break;
        case 'B':
            strings.resize(1);
            break;
        case 'T':
            strings.erase(strings.begin(), strings.end() - 3);
            level = 0.7F;
            break;
        case 'x':
            strings.erase(strings.begin(), strings.end() - 4);
            level = 0.5F;
            break;
        default:
            strings = {*(strings.end() - (stroke - '0'))};
            level = 0.75F;
            break;
        }
        double const spread = uniform(0.010, 0.035);
        for (std::size_t n = 0; n < strings.size(); ++n) {
            strings[n].seconds = time + spread * static_cast<double>(n) / 5;
            strings[n].level = level * static_cast<float>(uniform(0.75, 1.15));
            m_playing.strikes.push_back(strings[n]);
            if (stroke == 'x') // damped at once: struck again without a sound
                m_playing.strikes.push_back({time + 0.03, strings[n].string, strings[n].midi, 0});
        }
    }

    PlayingKind const& m_kind;
    Staging const& m_staging;
    std::mt19937 m_random;
    double m_now = 0.3;
    Performance m_playing;
    StagedLesson m_lesson;
};

constexpr overlay::Meter kFour{4, 4};
constexpr overlay::Meter kThree{3, 4};
constexpr overlay::Meter kSix{6, 8};

} // namespace

std::vector<PlayingKind> tuning_kinds()
{
    return {
        {"quarters", kFour, 70, 140, {"D-D-D-D-", "D-d-D-d-"}},
        {"eighths", kFour, 60, 140, {"D-DUDUDU", "D-DU-UDU", "D-D-DUDU"}},
        {"eighths, slow", kFour, 50, 70, {"D-DUDUDU", "D-DU-UDU", "dUDUdUDU"}},
        {"sixteenths", kFour, 50, 80, {"D-DUD-DUD-DUD-DU", "D---D-D--UDUD-DU", "D-dUd-DUd-dUd-DU"}},
        {"fast", kFour, 140, 160, {"D-D-D-D-", "D-DUD-DU"}},
        {"bass, then stroke", kFour, 70, 150, {"B-T-B-T-", "B-TUB-TU"}},
        {"swing", kFour, 70, 130, {"D--D-UD--D-U", "D-UD-UD-UD-U"}},
        {"picked", kFour, 60, 120, {"B3241324", "B1234321"}},
        {"3/4", kThree, 70, 150, {"D-D-D-", "D-DUDU"}},
        {"3/4, bass", kThree, 80, 150, {"B-T-T-", "B-TUTU"}},
        {"3/4, picked", kThree, 70, 120, {"B32123"}},
        {"6/8", kSix, 40, 75, {"D-dD-U", "DddDdd", "D-UD-U"}},
        {"6/8, picked", kSix, 40, 70, {"B32123", "B23432"}},
        {"damped", kFour, 70, 130, {"D-xUD-xU", "D-x-D-x-"}},
    };
}

std::vector<PlayingKind> evaluation_kinds()
{
    return {
        {"quarters", kFour, 70, 140, {"D-D-d-D-", "d-D-d-D-"}},
        {"eighths", kFour, 60, 140, {"D--UD-DU", "D-D--UDU", "DUDUDUDU"}},
        {"eighths, slow", kFour, 50, 70, {"D--U-UD-", "D-DUD-DU", "DUdUDUdU"}},
        {"sixteenths", kFour, 50, 80, {"D--UD-DUD--UD-DU", "D-D-D-DUD-DUDUDU", "D-DUdUDUD-DUdUDU"}},
        {"fast", kFour, 140, 160, {"D-d-D-d-", "D-D-D-DU"}},
        {"bass, then stroke", kFour, 70, 150, {"B-TUB-T-", "B-T-B-TU"}},
        {"swing", kFour, 70, 130, {"D--D--D-UD-U", "D-UD--D-UD--"}},
        {"picked", kFour, 60, 120, {"B2314231", "B-32B-32"}},
        {"3/4", kThree, 70, 150, {"D-d-d-", "D--UDU"}},
        {"3/4, bass", kThree, 80, 150, {"B-TUT-", "B-T-TU"}},
        {"3/4, picked", kThree, 70, 120, {"B31213", "B23123"}},
        {"6/8", kSix, 40, 75, {"D-UDdU", "DdUDdU", "D--D-U"}},
        {"6/8, picked", kSix, 40, 70, {"B21321", "B321B2"}},
        {"damped", kFour, 70, 130, {"D-x-DUxU", "DUxUDUxU"}},
    };
}

StagedLesson stage_lesson(PlayingKind const& kind, Staging const& staging, NoteBank& bank, std::uint32_t seed)
{
    return Stage(kind, staging, seed).build(bank, seed);
}

} // namespace tabard::tests
