#include "pipeline/desk/music/tap_answer.h"
#include "pipeline/desk/music/tapped_part.h"
#include "pipeline/timeline/tempo_map.h"
#include "tests/pipeline/desk/lesson_text.h"

#include <chrono>
#include <cmath>
#include <optional>
#include <random>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <rapidcheck/gtest.h>

namespace tabard::pipeline {
namespace {

using nlohmann::json;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;

/// A part with this chart; `tempo` 0: not said.
Section part_of(std::string const& bars, std::string const& meter = "4/4", int tempo = 0)
{
    Section section;
    section.meter.value = *overlay::Meter::parse(meter);
    section.bars = Sourced<Chart>{parse_chart(bars, *section.meter).chart, {}};
    if (tempo > 0)
        section.tempo = Sourced<Tempo>{{tempo * 1000}, {}};
    return section;
}

/// Where each target of a part sounds, at `pulse` seconds a pulse from `start` on. Without the end.
std::vector<double> played(TapTargets const& targets, double start, double pulse)
{
    std::vector<double> times;
    for (std::size_t n = 0; n + 1 < targets.targets.size(); ++n)
        if (!targets.targets[n].optional)
            times.push_back(start + pulse * targets.targets[n].pulses);
    return times;
}

/// As a person taps it: each up to `most` seconds off.
std::vector<double> tapped(std::vector<double> times, double most, unsigned seed)
{
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> off(-most, most);
    for (double& time : times)
        time += off(random);
    return times;
}

double time_of(TappedPart const& part, overlay::Meter meter, double pulses)
{
    TempoMap const map(meter, part.pins, part.tempo);
    return to_seconds(map.time_at(
        static_cast<std::int64_t>(pulses * static_cast<double>(kTicksPerBeat) * meter.beats / meter.pulses())));
}

std::string words_of(TappedPart const& part) { return fmt::format("{}", fmt::join(part.words, "; ")); }
std::string warnings_of(TappedPart const& part) { return fmt::format("{}", fmt::join(part.warnings, "; ")); }

/// The farthest that a chord of the chart is from where it sounds. Rests and the end, which nobody tapped, lie on lines
/// that only go on.
double farthest(TappedPart const& part, TapTargets const& targets, overlay::Meter meter, double start, double pulse)
{
    double worst = 0;
    for (TapTarget const& target : targets.targets)
        if (!target.optional)
            worst = std::max(worst, std::abs(time_of(part, meter, target.pulses) - (start + pulse * target.pulses)));
    return worst;
}

struct Played {
    std::string bars;
    std::string meter;
};

/// Charts with repeats, pick-ups, groups, rests and chords that go on.
Played any_chart()
{
    return *rc::gen::element(
        Played{"C | Am | F | G | C | Am | F | G", "4/4"}, Played{"|: C | G :| x3 | Am / F / | G", "4/4"},
        Played{"N.C. / / G | C | D / / G | C | C | Am", "4/4"}, Played{"Em | C / D | G | D | Em | C", "3/4"},
        Played{"Am | C | Am / / F / / | E | Am | E", "6/8"}, Played{"Am / / Dm / | E | Am / / F / | E | Am", "3+2/4"},
        Played{"D | D | D | G | A | % | D", "4/4"}, Played{"C F | G C | F G | C", "4/4"});
}

// A line between taps is within the tolerance of a pin (40 ms) of each tap, and a tap within the noise of the chord;
// the line that is nearest to all taps may be half as far again from one.
RC_GTEST_PROP(Tap, ChangesOfAnyChartAreFoundWithinTheNoise, ())
{
    auto const chart = any_chart();
    Section const section = part_of(chart.bars, chart.meter);
    auto const targets = change_targets(section);
    double const pulse = 60.0 / *rc::gen::inRange(50, 160);
    double const start = *rc::gen::inRange(0, 300000) / 1000.0;
    double const noise = *rc::gen::inRange(0, 30) / 1000.0;
    std::vector<std::vector<double>> passes;
    for (int n = *rc::gen::inRange(1, 4); n > 0; --n)
        passes.push_back(tapped(played(targets, start, pulse), noise, *rc::gen::arbitrary<unsigned>()));
    auto const part = tapped_part(section, TapEach::change, passes);
    RC_ASSERT(part.has_value());
    RC_ASSERT(farthest(*part, targets, *section.meter, start, pulse) <= 1.5 * (noise + 0.041));
    RC_ASSERT(warnings_of(*part) == "");
}

RC_GTEST_PROP(Tap, AMissingTapIsSaidWhereItIsMissing, ())
{
    auto const chart = any_chart();
    Section const section = part_of(chart.bars, chart.meter);
    auto const targets = change_targets(section);
    double const pulse = 60.0 / *rc::gen::inRange(60, 140);
    auto const whole = played(targets, 10, pulse);
    auto one_less = tapped(whole, 0.02, *rc::gen::arbitrary<unsigned>());
    auto const missing = *rc::gen::inRange<std::size_t>(2, one_less.size() - 2);
    one_less.erase(one_less.begin() + static_cast<std::ptrdiff_t>(missing));
    auto const part = tapped_part(section, TapEach::change, {tapped(whole, 0.02, 7), one_less});
    RC_ASSERT(part.has_value());
    RC_ASSERT(words_of(*part).find(fmt::format("pass 2 has {} taps", one_less.size())) != std::string::npos);
    RC_ASSERT(farthest(*part, targets, *section.meter, 10, pulse) <= 0.16);
}

RC_GTEST_PROP(Tap, ADoubledTapMovesNothing, ())
{
    auto const chart = any_chart();
    Section const section = part_of(chart.bars, chart.meter);
    auto const targets = change_targets(section);
    double const pulse = 60.0 / *rc::gen::inRange(60, 140);
    auto const whole = played(targets, 10, pulse);
    auto doubled = tapped(whole, 0.02, *rc::gen::arbitrary<unsigned>());
    auto const twice = *rc::gen::inRange<std::size_t>(0, doubled.size());
    doubled.push_back(doubled[twice] + *rc::gen::inRange(30, 100) / 1000.0);
    auto const part = tapped_part(section, TapEach::change, {doubled});
    RC_ASSERT(part.has_value());
    RC_ASSERT(words_of(*part).find("came twice") != std::string::npos);
    RC_ASSERT(farthest(*part, targets, *section.meter, 10, pulse) <= 0.16);
}

/// Times of places that a player reaches whose tempo sways by up to 6 %, slowly.
std::vector<double> swayed(std::vector<double> times, double pulse, double phase)
{
    for (double& time : times)
        time += 0.06 * 12 * pulse / 6.3 * std::sin(phase + time / (12 * pulse) * 6.3);
    return times;
}

// Each pass is on the frames of 30 a second, misses one tap and has one too many. The player's tempo sways, so pins
// come between; a tap is within 20 ms and a frame (33 ms) early, and pins keep 40 ms.
RC_GTEST_PROP(Tap, ThreeCarelessPassesOfASwayingPlayerAgree, ())
{
    auto const chart = any_chart();
    Section const section = part_of("|: " + chart.bars + " :| x3", chart.meter);
    bool const repeats = chart.bars.find(':') != std::string::npos; // not inside another repeat
    RC_PRE(!repeats);
    auto const targets = change_targets(section);
    double const pulse = 60.0 / *rc::gen::inRange(60, 130);
    auto const whole = swayed(played(targets, 10, pulse), pulse, *rc::gen::inRange(0, 63) / 10.0);
    std::vector<std::vector<double>> passes;
    for (int n = 0; n < 3; ++n) {
        auto pass = tapped(whole, 0.02, *rc::gen::arbitrary<unsigned>());
        for (double& tap : pass)
            tap = std::floor(tap * 30) / 30;
        // Each errs in other bars, else nobody could tell.
        std::size_t const stretch = pass.size() / 3;
        auto const in_stretch = [&](int number) {
            return static_cast<std::size_t>(number % 3) * stretch + *rc::gen::inRange<std::size_t>(1, stretch - 1);
        };
        auto const extra = in_stretch(n), missing = in_stretch(n + 1);
        pass.push_back(std::lerp(pass[extra], pass[extra + 1], 0.4));
        pass.erase(pass.begin() + static_cast<std::ptrdiff_t>(missing));
        passes.push_back(std::move(pass));
    }
    auto const part = tapped_part(section, TapEach::change, passes);
    RC_ASSERT(part.has_value());
    double worst = 0;
    std::size_t n = 0;
    for (std::size_t k = 0; k + 1 < targets.targets.size(); ++k)
        if (!targets.targets[k].optional)
            worst = std::max(worst, std::abs(time_of(*part, *section.meter, targets.targets[k].pulses) - whole[n++]));
    RC_LOG() << "worst " << worst << " s; " << words_of(*part) << "; " << warnings_of(*part);
    RC_ASSERT(worst <= 0.020 + 0.034 + 0.040);
}

TEST(Tap, ALongPartIsAnsweredAtOnce)
{
    Section const section = part_of("|: C | Am | F | G :| x99");
    std::vector<double> const taps = played(beat_targets(section, 0), 20, 0.5);
    auto const begin = std::chrono::steady_clock::now();
    auto const part = tapped_part(section, TapEach::beat, {taps, taps, taps});
    std::chrono::duration<double, std::milli> const took = std::chrono::steady_clock::now() - begin;
    ASSERT_TRUE(part);
    EXPECT_EQ(part->pins.size(), 2U);
    fmt::print("3 passes of {} taps are put to the chart in {:.0f} ms\n", taps.size(), took.count());
}

// 100 a minute: a bar lasts 2.4 s. Sixteen bars, of which eight were tapped.
TEST(Tap, WhoStopsAfterEightBarsGetsTheirPins)
{
    Section const section = part_of("|: C | Am | F | G :| x4");
    auto times = played(change_targets(section), 20, 0.6);
    times.resize(8);
    auto const part = tapped_part(section, TapEach::change, {times});
    ASSERT_TRUE(part);
    EXPECT_EQ(part->pins.front().position.text(), "1.1");
    EXPECT_EQ(part->pins.back().position.text(), "8.1");
    EXPECT_EQ(part->tempo->thousandths, 100'000);
    EXPECT_THAT(words_of(*part), HasSubstr("8 of 16 changes"));
}

TEST(Tap, EvenlyPlayedBarsNeedTwoPins)
{
    Section const section = part_of("|: C | Am | F | G :| x4");
    auto const part =
        tapped_part(section, TapEach::change, {tapped(played(change_targets(section), 20, 0.6), 0.015, 3)});
    ASSERT_TRUE(part);
    EXPECT_EQ(part->pins.size(), 2U);
}

// Bars of 2 s, then of 2.4 s: the pin is where the tempo changes, give or take a bar.
TEST(Tap, AChangeOfTempoGetsAPin)
{
    Section const section = part_of("C | Am | F | G | C | Am | F | G");
    auto const part = tapped_part(section, TapEach::change, {{0, 2, 4, 6, 8, 10.4, 12.8, 15.2}});
    ASSERT_TRUE(part);
    ASSERT_EQ(part->pins.size(), 3U);
    EXPECT_EQ(part->pins[1].position.text(), "5.1");
    EXPECT_NEAR(to_seconds(part->pins[1].time), 8, 0.001);
}

TEST(Tap, MoreTapsThanTheChartHasAreSaid)
{
    Section const section = part_of("C | Am | F | G");
    auto const part = tapped_part(section, TapEach::change, {{10, 12, 14, 16, 18, 20, 22}});
    ASSERT_TRUE(part);
    EXPECT_THAT(warnings_of(*part), HasSubstr("2 taps after the end of the chart"));
    EXPECT_NEAR(time_of(*part, {4, 4}, 12), 16, 0.01);
}

TEST(Tap, TheTapAfterTheLastBarIsTheEnd)
{
    Section const section = part_of("C | Am | F | G");
    auto const part = tapped_part(section, TapEach::change, {{10, 12, 14, 16, 18.2}});
    ASSERT_TRUE(part);
    EXPECT_EQ(part->pins.back().position.text(), "5.1");
    EXPECT_NEAR(to_seconds(part->pins.back().time), 18.2, 0.002);
    EXPECT_EQ(warnings_of(*part), "");
}

TEST(Tap, PassesThatBeganAtDifferentBarsArePutTogether)
{
    Section const section = part_of("C | Am | F | G | C | Am | F | G");
    auto const part =
        tapped_part(section, TapEach::change, {{10, 12, 14, 16, 18, 20, 22, 24}, {12.01, 14.01, 16.01, 18.01, 20.01}});
    ASSERT_TRUE(part);
    EXPECT_THAT(words_of(*part), HasSubstr("pass 2 has 5 taps, the chart has 8 changes: no tap at bar 1"));
    EXPECT_NEAR(to_seconds(part->pins.front().time), 10, 0.02);
    EXPECT_NEAR(time_of(*part, {4, 4}, 28), 24, 0.02);
}

TEST(Tap, PassesThatDifferMuchAreWarnedOf)
{
    Section const section = part_of("C | Am | F | G | C");
    auto const part = tapped_part(section, TapEach::change, {{10, 12, 14, 16, 18}, {10, 12, 14.4, 16, 18}});
    ASSERT_TRUE(part);
    EXPECT_THAT(warnings_of(*part), HasSubstr("the passes differ by more than 125 ms at bar 3"));
}

// Two taps of one beat 20 ms apart: their standard deviation is 20 / sqrt 2 = 14.1 ms.
TEST(Tap, TheSpreadIsThatOfOneTap)
{
    Section const section = part_of("C | Am | F");
    auto const part = tapped_part(section, TapEach::change, {{10, 12, 14}, {10.02, 12.02, 14.02}});
    ASSERT_TRUE(part);
    EXPECT_NEAR(part->spread, 0.020 / std::sqrt(2.0), 1e-6);
}

struct Beats {
    std::string meter;
    int pulses; ///< of a bar
};
class TappedBeats : public testing::TestWithParam<Beats> {};

// The tempo counts quarters in 3/4, 4/4, 5/4, dotted quarters in 6/8 and 12/8.
TEST_P(TappedBeats, AreThePulsesOfTheMeter)
{
    Section const section = part_of("C | G | C | G", GetParam().meter);
    std::vector<double> taps;
    for (int n = 0; n < 4 * GetParam().pulses; ++n)
        taps.push_back(5 + 0.5 * n);
    auto const part = tapped_part(section, TapEach::beat, {taps});
    ASSERT_TRUE(part);
    EXPECT_EQ(part->tempo->thousandths, 120'000);
    EXPECT_NEAR(time_of(*part, *section.meter, 3 * GetParam().pulses), 5 + 1.5 * GetParam().pulses, 0.002);
    EXPECT_THAT(words_of(*part), HasSubstr(fmt::format("{} beats", 4 * GetParam().pulses)));
}

INSTANTIATE_TEST_SUITE_P(Meters, TappedBeats,
                         testing::Values(Beats{"4/4", 4}, Beats{"3/4", 3}, Beats{"6/8", 2}, Beats{"12/8", 4},
                                         Beats{"5/4", 5}, Beats{"7/8", 7}));

// Groups of 3 + 2 quarters at 120 a minute: 1.5 s and 1 s.
TEST(Tap, GroupsOfABarMayBeTappedAsBeats)
{
    Section const section = part_of("C | G | C", "3+2/4");
    auto const part = tapped_part(section, TapEach::beat, {{0, 1.5, 2.5, 4, 5, 6.5}});
    ASSERT_TRUE(part);
    EXPECT_EQ(part->tempo->thousandths, 120'000);
    EXPECT_THAT(words_of(*part), HasSubstr("6 groups"));
}

TEST(Tap, WhoTapsTheCountInTooIsUnderstood)
{
    Section section = part_of("C | G | C | G", "4/4", 120);
    section.count_in = 1;
    std::vector<double> taps;
    for (int n = -4; n < 16; ++n)
        taps.push_back(8 + 0.5 * n);
    auto const part = tapped_part(section, TapEach::beat, {taps});
    ASSERT_TRUE(part);
    EXPECT_EQ(part->pins.front().position.text(), "1.1");
    EXPECT_NEAR(to_seconds(part->pins.front().time), 8, 0.002);
    EXPECT_THAT(words_of(*part), HasSubstr("the first 4 taps are taken as counted before bar 1"));
}

TEST(Tap, TheCountInBeforeChangesIsUnderstoodToo)
{
    Section const section = part_of("C | G | C | G | Am | F");
    auto const part = tapped_part(section, TapEach::change, {{8, 8.5, 9, 9.5, 10, 12, 14, 16, 18, 20}});
    ASSERT_TRUE(part);
    EXPECT_NEAR(time_of(*part, {4, 4}, 0), 10, 0.01);
    EXPECT_NEAR(time_of(*part, {4, 4}, 20), 20, 0.01);
    EXPECT_THAT(words_of(*part), HasSubstr("the first 4 taps are taken as counted before bar 1"));
}

TEST(Tap, OneTapIsTheBegin)
{
    auto const part = tapped_part(part_of("C | G", "4/4", 100), TapEach::change, {{7.25}, {7.27}});
    ASSERT_TRUE(part);
    ASSERT_EQ(part->pins.size(), 1U);
    EXPECT_EQ(to_seconds(part->pins[0].time), 7.26);
    EXPECT_FALSE(part->tempo);
    EXPECT_EQ(warnings_of(*part), "");
    EXPECT_THAT(warnings_of(*tapped_part(part_of("C | G"), TapEach::change, {{7.25}})), HasSubstr("no tempo"));
}

TEST(Tap, NoTapsAndNoChartAreRefused)
{
    EXPECT_THAT(tapped_part(part_of("C"), TapEach::change, {{}}).error().what, HasSubstr("nothing was tapped"));
    Section talk;
    EXPECT_THAT(tapped_part(talk, TapEach::change, {{1, 2}}).error().what, HasSubstr("no chart"));
}

TEST(Tap, ATempoThatNobodyPlaysIsWarnedOf)
{
    auto const fast = tapped_part(part_of("C | G | C | G", "4/4"), TapEach::change, {{10, 10.8, 11.6, 12.4}});
    ASSERT_TRUE(fast);
    EXPECT_THAT(warnings_of(*fast), HasSubstr("nobody plays that"));
}

TEST(Tap, TwiceTheTempoOfThePartIsWarnedOf)
{
    auto const part = tapped_part(part_of("C | G | C | G", "4/4", 60), TapEach::change, {{10, 12, 14, 16}});
    ASSERT_TRUE(part);
    EXPECT_THAT(warnings_of(*part), HasSubstr("the taps mean a tempo of 120, and the part has 60"));
}

// ---- What is written ----

json answer(std::string const& text, json const& body)
{
    auto const answered = tap_answer(desk_view(text), body.dump());
    EXPECT_EQ(answered.status, 200) << answered.body;
    return json::parse(answered.body);
}

json edit(int part, char const* key, json value)
{
    return {{"path", {"sections", part, key}}, {"value", std::move(value)}};
}

TEST(TapEdits, GiveAPartItsPinsWhereItHadNoTime)
{
    auto const text = lesson_text(R"({"name": "Verse", "bars": "C | G | Am | F"})");
    auto const said =
        answer(text, {{"part", 0}, {"each", "change"}, {"passes", {{10.1, 12.1, 14.1, 16.1}}}, {"late", 0.1}});
    EXPECT_EQ(said["pins"], json::parse(R"([["1.1", 10.0], ["4.1", 16.0]])"));
    EXPECT_EQ(said["tempo"], 120.0);
    EXPECT_THAT(said["edits"],
                ElementsAre(edit(0, "pins", json::array({json::array({"1.1", "0:10"}), json::array({"4.1", "0:16"})})),
                            edit(0, "tempo", 120)));
}

// Bars of 2 s from 10.2 on end at 18.2. The part before touched it, the part after begins later.
TEST(TapEdits, MoveTheEdgesThatMeantBarOne)
{
    auto const text = lesson_text(R"({"name": "Hello", "from": "0:02", "to": "0:10"},
        {"name": "Verse", "from": 10, "to": 18, "tempo": 120, "bars": "C | G | Am | F"},
        {"name": "Bye", "from": "0:20", "to": "0:24"})");
    auto const said = answer(text, {{"part", 1}, {"each", "change"}, {"passes", {{10.2, 12.2, 14.2, 16.2}}}});
    EXPECT_THAT(
        said["edits"],
        ElementsAre(edit(1, "pins", json::array({json::array({"1.1", "0:10.2"}), json::array({"4.1", "0:16.2"})})),
                    edit(1, "from", 10.2), edit(0, "to", "0:10.2"), edit(1, "to", 18.2)));
    EXPECT_EQ(said["warning"], "");
}

// Two seconds of talk before bar 1 stay as they are.
TEST(TapEdits, LeaveALeadBeforeBarOne)
{
    auto const text = lesson_text(R"({"name": "Verse", "from": "0:08", "to": "0:20", "tempo": 120,
        "pins": [["1.1", "0:10"]], "bars": "C | G | Am | F"})");
    auto const said = answer(text, {{"part", 0}, {"each", "change"}, {"passes", {{10.2, 12.2, 14.2, 16.2}}}});
    EXPECT_THAT(
        said["edits"],
        ElementsAre(edit(0, "pins", json::array({json::array({"1.1", "0:10.2"}), json::array({"4.1", "0:16.2"})}))));
}

TEST(TapEdits, OneTapMovesThePinsThatAreThere)
{
    auto const text = lesson_text(R"({"name": "Verse", "from": "0:10", "to": "0:18",
        "pins": [["1.1", "0:10"], ["3.1", "0:14"]], "bars": "C | G | Am | F"})");
    auto const said = answer(text, {{"part", 0}, {"each", "change"}, {"passes", {{11}}}});
    EXPECT_THAT(said["edits"],
                ElementsAre(edit(0, "pins", json::array({json::array({"1.1", "0:11"}), json::array({"3.1", "0:15"})})),
                            edit(0, "from", "0:11"), edit(0, "to", "0:19")));
}

TEST(TapEdits, SayWhereBarsRunIntoTheNextPart)
{
    auto const text =
        lesson_text(R"({"name": "Verse", "from": "0:10", "to": "0:18", "tempo": 120, "bars": "C | G | Am | F"},
        {"name": "Chorus", "from": "0:18", "to": "0:22", "tempo": 120, "bars": "F | G"})");
    auto const said = answer(text, {{"part", 0}, {"each", "change"}, {"passes", {{13, 15, 17, 19}}}});
    EXPECT_THAT(said["warning"], HasSubstr("its bars and 'Chorus' (0:18.0 to 0:22.0) are at the same time"));
}

TEST(TapEdits, APartThatPlaysAnotherAgainKeepsItsAs)
{
    auto const text = lesson_text(R"({"name": "Verse", "from": "0:10", "tempo": 120, "bars": "|: C | G :|"},
        {"as": "Verse", "from": "0:30"})");
    auto const said = answer(text, {{"part", 1}, {"each", "change"}, {"passes", {{30.5, 32.5, 34.5, 36.5}}}});
    EXPECT_THAT(
        said["edits"],
        ElementsAre(edit(1, "pins", json::array({json::array({"1.1", "0:30.5"}), json::array({"4.1", "0:36.5"})})),
                    edit(1, "from", "0:30.5")));
}

TEST(TapEdits, WhatIsToBeTappedIsAskedBeforeThereIsATime)
{
    auto const text = lesson_text(R"({"name": "Verse", "bars": "N.C. | C | C / G / | N.C. | G"})");
    EXPECT_EQ(answer(text, {{"part", 0}, {"passes", json::array()}}),
              json::parse(R"({"asks": [{"bar": "2.1", "chord": "C"},
        {"bar": "3.3", "chord": "G"}, {"bar": "4.1", "chord": ""}, {"bar": "5.1", "chord": "G"}]})"));
    EXPECT_EQ(answer(text, {{"part", 0}, {"each", "beat"}, {"passes", json::array()}})["asks"].size(), 20U);
}

TEST(TapEdits, BodiesThatAreNoTapsAreRefused)
{
    auto const view = desk_view(lesson_text(R"({"name": "Verse", "bars": "C"})"));
    for (char const* body : {"", "[]", "{}", R"({"part": 0})", R"({"part": "0", "passes": [[1]]})",
                             R"({"part": 0, "passes": [["1"]]})", R"({"part": 0, "passes": [[1e300]]})",
                             R"({"part": 0, "passes": [[1]], "each": "bar"})", R"({"part": -1, "passes": [[1]]})"})
        EXPECT_EQ(tap_answer(view, body).status, 400) << body;
    EXPECT_EQ(tap_answer(view, R"({"part": 7, "passes": [[1]]})").status, 404);
    EXPECT_EQ(tap_answer(view, R"({"part": 0, "passes": [[1, 2, 3]]})").status, 422) << "one bar, three taps";
}

} // namespace
} // namespace tabard::pipeline
