#include "pipeline/cues/reader.h"
#include "pipeline/timeline/timeline.h"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::ElementsAre;

Time ms(std::int64_t milliseconds) { return from_ticks(milliseconds, 1, 1000); }

MediaFacts const kFilm{Time{0}, ms(120'000), {25, 1}};

/// One part at 60 beats a minute, a bar in 4 s, with a stroke on each beat.
Timeline timeline_of(std::string_view bars, std::string_view pins, std::string_view more = "")
{
    auto const text = fmt::format(R"({{"tabard": 1, "title": "Lantern", "footage": "f.mp4", "tempo": 60,
        "strums": {{"s": "D U D U"}},
        "sections": [{{"name": "Verse", "bars": "{}", "pins": {}{}}}]}})",
                                  bars, pins, more);
    LessonReading const reading = parse_lesson(text, "cues.json");
    for (Finding const& finding : reading.findings)
        ADD_FAILURE() << finding.what;
    return Timeline::resolve(reading.lesson.value_or(Lesson{}), kFilm);
}

template <class T>
std::optional<T> layer(overlay::Scene const& scene)
{
    for (overlay::Layer const& candidate : scene.layers)
        if (T const* found = std::get_if<T>(&candidate.content))
            return *found;
    return std::nullopt;
}

/// "now C, then G in 4 of 4, bar 1 beat 0, stroke 0, then 1": what is seen of the playing, "-" for nothing.
std::string seen(Timeline const& timeline, Time time)
{
    auto const scene = timeline.scene_at(time);
    auto const chord = layer<overlay::ChordCard>(scene);
    auto const next = layer<overlay::NextChordCard>(scene);
    auto const bars = layer<overlay::BarRibbon>(scene);
    auto const strum = layer<overlay::StrumLane>(scene);
    auto const number = [](std::optional<int> value) { return value ? fmt::format("{}", *value) : "-"; };
    return fmt::format("now {}{}, then {}, bar {} beat {}, stroke {}, then {}", chord ? chord->label.base : "-",
                       chord && chord->coming ? " (moving)" : "",
                       next ? fmt::format("{} in {} of {}", next->label.base, next->beats_left, next->beats) : "-",
                       bars ? number(bars->bars.front().number) : "-", bars ? number(bars->pulse) : "-",
                       strum ? number(strum->lit_step) : "-", strum ? number(strum->next_stroke) : "-");
}

/// "C 10.0-14.0" for each chord, in seconds.
std::vector<std::string> chords(Timeline const& timeline)
{
    std::vector<std::string> all;
    for (ChordSpan const& span : timeline.chords())
        all.push_back(fmt::format("{} {:.1f}-{:.1f}", span.name, to_seconds(span.in), to_seconds(span.out)));
    return all;
}

/// Numbers of the bars in the row.
std::vector<int> row(Timeline const& timeline, Time time)
{
    std::vector<int> numbers;
    if (auto const ribbon = layer<overlay::BarRibbon>(timeline.scene_at(time)))
        for (overlay::RibbonBar const& bar : ribbon->bars)
            numbers.push_back(bar.number);
    return numbers;
}

constexpr std::string_view kFour = "C | G | Am | F";
constexpr std::string_view kSix = "C | G | Am | F | Em | Dm";
/// Bars 1 and 2 from 0:10 to 0:18, six seconds of talk, bars 3 and 4 until 0:32.
constexpr std::string_view kPause = R"([["1.1", "0:10"], ["3.1", "0:18 to 0:24"], ["5.1", "0:32"]])";

TEST(Resting, InAPauseWhatComesIsSeenAndNothingIsCounted)
{
    auto const timeline = timeline_of(kFour, kPause);
    EXPECT_EQ(seen(timeline, ms(18'000) - Time{1}),
              "now G (moving), then Am in 1 of 4, bar 2 beat 3, stroke 3, then 0");
    for (Time const time : {ms(18'000), ms(21'000), ms(24'000) - Time{1}})
        EXPECT_EQ(seen(timeline, time), "now Am, then F in 4 of 4, bar 3 beat -, stroke -, then 0") << to_seconds(time);
    EXPECT_EQ(seen(timeline, ms(24'000)), "now Am, then F in 4 of 4, bar 3 beat 0, stroke 0, then 1");
    EXPECT_EQ(seen(timeline, ms(27'000)), "now Am (moving), then F in 1 of 4, bar 3 beat 3, stroke 3, then 0");
    EXPECT_EQ(seen(timeline, ms(28'000)), "now F, then -, bar 4 beat 0, stroke 0, then 1");
    EXPECT_EQ(timeline.sections()[0].out, ms(32'000));
}

TEST(Resting, NothingComesOrGoesInTheMiddleOfAPart)
{
    auto const timeline = timeline_of("C | G | Am | F | C", R"([["1.1", "0:10"], ["3.1", "0:18 to 0:24"]])");
    for (Time const instant : timeline.change_instants()) {
        if (instant < ms(14'000) || instant >= ms(31'800)) // the banner is gone, the last chord has not come
            continue;
        auto const scene = timeline.scene_at(instant);
        EXPECT_EQ(scene.layers.size(), 4U) << to_seconds(instant);
        for (overlay::Layer const& each : scene.layers)
            EXPECT_EQ(each.level, overlay::kFullLevel) << to_seconds(instant);
    }
}

// Nobody looks away for a breath: the cards change when the chord does.
TEST(Resting, InABreathTheCardsWait)
{
    auto const timeline = timeline_of(kFour, R"([["1.1", "0:10"], ["3.1", "0:18 to 0:18.6"], ["5.1", "0:26.6"]])");
    EXPECT_THAT(chords(timeline), ElementsAre("C 10.0-14.0", "G 14.0-18.6", "Am 18.6-22.6", "F 22.6-26.6"));
    EXPECT_EQ(seen(timeline, ms(17'999)), "now G (moving), then Am in 1 of 4, bar 2 beat 3, stroke 3, then 0");
    EXPECT_EQ(seen(timeline, ms(18'300)), "now G (moving), then Am in 1 of 4, bar 2 beat 3, stroke -, then 0");
    EXPECT_EQ(seen(timeline, ms(18'600)), "now Am, then F in 4 of 4, bar 3 beat 0, stroke 0, then 1");
}

TEST(Resting, APauseInABarStopsItsCount)
{
    auto const timeline = timeline_of(kFour, R"([["1.1", "0:10"], ["3.3", "0:20 to 0:26"], ["5.1", "0:32"]])");
    EXPECT_THAT(chords(timeline), ElementsAre("C 10.0-14.0", "G 14.0-18.0", "Am 18.0-28.0", "F 28.0-32.0"));
    EXPECT_EQ(seen(timeline, ms(19'999)), "now Am, then F in 3 of 4, bar 3 beat 1, stroke 1, then 2");
    EXPECT_EQ(seen(timeline, ms(20'000)), "now Am, then F in 2 of 4, bar 3 beat 1, stroke -, then 2");
    EXPECT_EQ(seen(timeline, ms(25'999)), "now Am, then F in 2 of 4, bar 3 beat 1, stroke -, then 2");
    EXPECT_EQ(seen(timeline, ms(26'000)), "now Am, then F in 2 of 4, bar 3 beat 2, stroke 2, then 3");
}

// A stroke that was struck before a pause is not struck again after it.
TEST(Resting, APauseBetweenTwoStrokesLightsNeither)
{
    auto const timeline = timeline_of(kFour, R"([["1.1", "0:10"], ["3.1+1/2", "0:18.5 to 0:24.5"], ["5.1", "0:32"]])");
    EXPECT_EQ(seen(timeline, ms(18'400)), "now Am, then F in 4 of 4, bar 3 beat 0, stroke 0, then 1");
    for (int const time : {18'500, 24'499, 24'500, 24'900})
        EXPECT_EQ(seen(timeline, ms(time)), "now Am, then F in 4 of 4, bar 3 beat 0, stroke -, then 1") << time;
    EXPECT_EQ(seen(timeline, ms(25'000)), "now Am, then F in 3 of 4, bar 3 beat 1, stroke 1, then 2");
}

TEST(Resting, AChordThatGoesOnBehindAPauseIsOne)
{
    auto const timeline = timeline_of("C | C | G", R"([["1.1", "0:10"], ["2.1", "0:14 to 0:20"], ["4.1", "0:28"]])");
    EXPECT_THAT(chords(timeline), ElementsAre("C 10.0-24.0", "G 24.0-28.0"));
    EXPECT_EQ(seen(timeline, ms(13'999)), "now C, then G in 5 of 8, bar 1 beat 3, stroke 3, then 0");
    EXPECT_EQ(seen(timeline, ms(14'000)), "now C, then G in 4 of 8, bar 2 beat -, stroke -, then 0");
    EXPECT_EQ(seen(timeline, ms(20'000)), "now C, then G in 4 of 8, bar 2 beat 0, stroke 0, then 1");
}

TEST(Resting, BarsThatAreSkippedAreNeverShownAsPlayed)
{
    auto const timeline = timeline_of(kSix, R"([["1.1", "0:10"], ["3.1 to 5.1", "0:18"], ["7.1", "0:26"]])");
    EXPECT_THAT(chords(timeline), ElementsAre("C 10.0-14.0", "G 14.0-18.0", "Em 18.0-22.0", "Dm 22.0-26.0"));
    EXPECT_EQ(seen(timeline, ms(17'000)), "now G (moving), then Em in 1 of 4, bar 2 beat 3, stroke 3, then 0");
    EXPECT_EQ(seen(timeline, ms(18'000)), "now Em, then Dm in 4 of 4, bar 5 beat 0, stroke 0, then 1");
    EXPECT_THAT(row(timeline, ms(10'000)), ElementsAre(1, 2, 5, 6));
    EXPECT_THAT(row(timeline, ms(14'000)), ElementsAre(2, 5, 6));
    EXPECT_THAT(row(timeline, ms(18'000)), ElementsAre(5, 6));
    EXPECT_EQ(timeline.chords()[2].bar, 5);
}

// Of a chord that is left after two of its eight beats, two are counted.
TEST(Resting, AChordThatIsLeftEarlyIsCountedAsItIsPlayed)
{
    auto const timeline = timeline_of("C | C | G | F", R"([["1.1", "0:10"], ["1.3 to 3.1", "0:12"], ["5.1", "0:20"]])");
    EXPECT_THAT(chords(timeline), ElementsAre("C 10.0-12.0", "G 12.0-16.0", "F 16.0-20.0"));
    EXPECT_EQ(timeline.chords()[0].beats, 2);
    EXPECT_EQ(seen(timeline, ms(10'000)), "now C, then G in 2 of 2, bar 1 beat 0, stroke 0, then 1");
    EXPECT_EQ(seen(timeline, ms(11'000)), "now C (moving), then G in 1 of 2, bar 1 beat 1, stroke 1, then 0");
}

TEST(Resting, APauseMaySkipBars)
{
    auto const timeline = timeline_of(kSix, R"([["1.1", "0:10"], ["3.1 to 5.1", "0:18 to 0:24"], ["7.1", "0:32"]])");
    EXPECT_EQ(seen(timeline, ms(17'000)), "now G (moving), then Em in 1 of 4, bar 2 beat 3, stroke 3, then 0");
    EXPECT_EQ(seen(timeline, ms(18'000)), "now Em, then Dm in 4 of 4, bar 5 beat -, stroke -, then 0");
    EXPECT_EQ(seen(timeline, ms(24'000)), "now Em, then Dm in 4 of 4, bar 5 beat 0, stroke 0, then 1");
}

TEST(Resting, APartMayBeLeftBeforeItsLastBar)
{
    auto const timeline = timeline_of(kFour, R"([["1.1", "0:10"], ["3.1 to 5.1", "0:18"]])");
    EXPECT_THAT(chords(timeline), ElementsAre("C 10.0-14.0", "G 14.0-18.0"));
    EXPECT_EQ(timeline.sections()[0].out, ms(18'000));
}

TEST(Resting, APartMayWaitForItsFirstBar)
{
    auto const timeline = timeline_of(kFour, R"([["1.1", "0:10 to 0:15"], ["5.1", "0:31"]])", R"(, "count_in": 1)");
    EXPECT_EQ(timeline.sections()[0].in, ms(10'000));
    EXPECT_EQ(layer<overlay::CountIn>(timeline.scene_at(ms(9'999)))->beat, 4) << "counted to where it should begin";
    EXPECT_EQ(layer<overlay::CountIn>(timeline.scene_at(ms(10'000))), std::nullopt);
    for (int const time : {6'000, 9'999, 10'000, 14'999})
        EXPECT_EQ(seen(timeline, ms(time)), "now C, then G in 4 of 4, bar 1 beat -, stroke -, then 0") << time;
    EXPECT_EQ(seen(timeline, ms(15'000)), "now C, then G in 4 of 4, bar 1 beat 0, stroke 0, then 1");
}

TEST(Resting, APauseBehindTheLastBarIsNoPartOfIt)
{
    auto const timeline = timeline_of(kFour, R"([["1.1", "0:10"], ["5.1", "0:26 to 0:36"]])");
    EXPECT_EQ(timeline.sections()[0].out, ms(26'000));
    EXPECT_TRUE(timeline.scene_at(ms(26'000)).empty());
}

// The teacher explains a chord while the playing stands still.
TEST(Resting, CuesOfATalkGoBeforeWhatIsPlayed)
{
    auto const timeline = timeline_of(kFour, kPause, R"(, "show": [{"chord": "E7", "from": "0:19.5", "to": "0:21"},
        {"strum": "s", "from": "0:19.5", "to": "0:21"}])");
    EXPECT_EQ(seen(timeline, ms(19'400)), "now Am, then F in 4 of 4, bar 3 beat -, stroke -, then 0");
    EXPECT_EQ(seen(timeline, ms(19'500)), "now E, then -, bar 3 beat -, stroke -, then -");
    EXPECT_EQ(seen(timeline, ms(21'000)), "now Am, then F in 4 of 4, bar 3 beat -, stroke -, then 0");
    EXPECT_EQ(seen(timeline, ms(24'000)), "now Am, then F in 4 of 4, bar 3 beat 0, stroke 0, then 1");
}

TEST(Resting, ACueWithoutAnEndLastsUntilThePlayingGoesOn)
{
    auto const timeline = timeline_of(kFour, kPause, R"(, "show": [{"chord": "E7", "from": "0:19.5"}])");
    EXPECT_THAT(chords(timeline),
                ElementsAre("C 10.0-14.0", "G 14.0-18.0", "Am 18.0-28.0", "E7 19.5-24.0", "F 28.0-32.0"));
    EXPECT_EQ(seen(timeline, ms(23'800)), "now E, then -, bar 3 beat -, stroke -, then 0");
    EXPECT_EQ(seen(timeline, ms(24'000)), "now Am, then F in 4 of 4, bar 3 beat 0, stroke 0, then 1");
}

// What would be seen for less than a second between a cue and the playing is not shown at all.
TEST(Resting, NothingIsSeenForAMomentBesideACue)
{
    auto const timeline =
        timeline_of(kFour, kPause, R"(, "show": [{"chord": "E7", "from": "0:18.4", "to": "0:23.5"}])");
    EXPECT_EQ(layer<overlay::ChordCard>(timeline.scene_at(ms(18'100))), std::nullopt);
    EXPECT_EQ(layer<overlay::ChordCard>(timeline.scene_at(ms(18'300)))->label.base, "E") << "fading in";
    EXPECT_EQ(layer<overlay::ChordCard>(timeline.scene_at(ms(23'700))), std::nullopt);
    EXPECT_EQ(seen(timeline, ms(24'000)), "now Am, then F in 4 of 4, bar 3 beat 0, stroke 0, then 1");
}

// A pause moves all that comes after it and changes nothing else.
RC_GTEST_PROP(Resting, BesidesAPauseAllIsAsWithoutIt, ())
{
    int const beat = *rc::gen::inRange(5, 16); // of 16, behind the first bar, where the banner is
    RC_PRE(beat != 12);                        // the last change: the card of the next chord fades out before it
    int const pause = *rc::gen::inRange(40, 9'000);
    bool const breath = pause < 1'000;
    std::string const place = fmt::format("{}.{}", beat / 4 + 1, beat % 4 + 1);
    Time const stop = ms(10'000 + beat * 1'000);
    auto const plain = timeline_of(kFour, R"([["1.1", "0:10"]])");
    auto const paused =
        timeline_of(kFour, fmt::format(R"([["1.1", "0:10"], ["{}", "{:.3f} to {:.3f}"], ["5.1", "{:.3f}"]])", place,
                                       to_seconds(stop), to_seconds(stop + ms(pause)), to_seconds(ms(26'000 + pause))));
    Time const last_fade = ms(25'800); // of a part that ends
    for (Time const instant : plain.change_instants()) {
        if (instant >= last_fade)
            continue;
        Time const then = instant >= stop ? instant + ms(pause) : instant;
        RC_ASSERT(paused.scene_at(then) == plain.scene_at(instant));
    }
    for (Time const time : {stop, stop + ms(pause) / 2, stop + ms(pause) - Time{1}}) {
        auto const scene = paused.scene_at(time);
        auto const strum = layer<overlay::StrumLane>(scene);
        RC_ASSERT((strum && !strum->lit_step));
        auto const bars = layer<overlay::BarRibbon>(scene);
        RC_ASSERT(bars.has_value());
        if (!breath)
            RC_ASSERT(bars->pulse == (beat % 4 == 0 ? std::nullopt : std::optional(beat % 4 - 1)));
        RC_ASSERT(scene == paused.scene_at(stop));
    }
}

} // namespace
} // namespace tabard::pipeline
