#include "pipeline/cues/reader.h"
#include "pipeline/timeline/timeline.h"

#include <algorithm>
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
using testing::IsEmpty;

Time ms(std::int64_t milliseconds) { return from_ticks(milliseconds, 1, 1000); }

MediaFacts const kFilm{Time{0}, ms(120'000), {25, 1}};

Lesson lesson_with(std::string_view sections, std::string_view more = "")
{
    auto const text = fmt::format(
        R"({{"tabard": 1, "title": "Lantern", "footage": "f.mp4", "tempo": 60, {} "sections": [{}]}})", more, sections);
    LessonReading const reading = parse_lesson(text, "cues.json");
    for (Finding const& finding : reading.findings)
        ADD_FAILURE() << finding.what;
    return reading.lesson.value_or(Lesson{});
}

Timeline timeline_of(std::string_view sections, std::string_view more = "")
{
    return Timeline::resolve(lesson_with(sections, more), kFilm);
}

/// The layer of one kind in a scene.
template <class T>
std::optional<T> layer(overlay::Scene const& scene)
{
    for (overlay::Layer const& candidate : scene.layers)
        if (T const* found = std::get_if<T>(&candidate.content))
            return *found;
    return std::nullopt;
}

/// "C 10.0-14.0" for each chord, in seconds.
std::vector<std::string> chords(Timeline const& timeline)
{
    std::vector<std::string> all;
    for (ChordSpan const& span : timeline.chords())
        all.push_back(fmt::format("{} {:.1f}-{:.1f}", span.name, to_seconds(span.in), to_seconds(span.out)));
    return all;
}

TEST(Timeline, ASectionThatIsAsAnotherShowsTheScenesOfOneWrittenOut)
{
    constexpr std::string_view kMore = R"("strums": {"slow": "D - D -", "fast": "D U D U"},)";
    constexpr std::string_view kVerse =
        R"({"name": "Verse", "from": "0:10", "tempo": 90, "strum": "slow", "bars": "C G | Am / / F", "words": "la"},)";
    auto const short_form = timeline_of(std::string(kVerse) + R"({"as": "Verse", "from": "0:30", "count_in": 1},
        {"name": "Free", "as": "Verse", "strum": "fast", "pins": [["1.1", "0:50"], ["3.1", "0:57"]]})",
                                        kMore);
    auto const written_out =
        timeline_of(std::string(kVerse) + R"({"name": "Verse", "from": "0:30", "count_in": 1, "tempo": 90,
         "strum": "slow", "bars": "C G | Am / / F", "words": "la"},
        {"name": "Free", "strum": "fast", "tempo": 90, "bars": "C G | Am / / F", "words": "la",
         "pins": [["1.1", "0:50"], ["3.1", "0:57"]]})",
                    kMore);
    EXPECT_EQ(short_form.chords().size(), 12U) << "four chords, three times";
    ASSERT_EQ(short_form.change_instants(), written_out.change_instants());
    for (Time const instant : written_out.change_instants())
        EXPECT_EQ(short_form.scene_at(instant), written_out.scene_at(instant)) << to_seconds(instant);
}

TEST(Timeline, PutsABarOfFourBeatsIntoFourSecondsAtSixty)
{
    auto const timeline = timeline_of(R"({"name": "Verse", "from": 10, "bars": "C | G / Am / | % | N.C."})");
    EXPECT_THAT(chords(timeline),
                ElementsAre("C 10.0-14.0", "G 14.0-16.0", "Am 16.0-18.0", "G 18.0-20.0", "Am 20.0-22.0", " 22.0-26.0"));
    EXPECT_EQ(timeline.chords()[1].bar, 2);
    EXPECT_EQ(timeline.chords()[1].beats, 2);
    EXPECT_EQ(timeline.sections()[0].out, ms(26'000)) << "without `to` a section ends with its bars";
}

TEST(Timeline, AChordThatGoesOnOverTheBarLineIsOneSpan)
{
    EXPECT_THAT(chords(timeline_of(R"({"name": "Verse", "from": 0, "bars": "C | / / G / | G"})")),
                ElementsAre("C 0.0-6.0", "G 6.0-12.0"));
}

TEST(Timeline, TalkCuesLastUntilTheNextOfTheirKindOrTheEndOfTheirSection)
{
    auto const timeline = timeline_of(R"({"name": "Talk", "from": 0, "to": 30, "show": [
        {"chord": "C", "from": 2}, {"text": "Hello", "from": 3, "to": 4}, {"chord": "G", "from": 5, "to": 9}, {"chord": "Am", "from": 12}]})");
    EXPECT_THAT(chords(timeline), ElementsAre("C 2.0-5.0", "G 5.0-9.0", "Am 12.0-30.0"));
    EXPECT_EQ(timeline.texts().at(0).out, ms(4'000));
}

TEST(Timeline, ASectionWithoutAnEndLastsUntilTheNextOrTheEndOfTheFilm)
{
    auto const timeline = timeline_of(R"({"name": "A", "from": 0}, {"name": "B", "from": 10})");
    EXPECT_EQ(timeline.sections()[0].out, ms(10'000));
    EXPECT_EQ(timeline.sections()[1].out, kFilm.duration);
}

TEST(Timeline, CountsTheBeatsUntilTheNextChord)
{
    auto const timeline = timeline_of(R"({"name": "Verse", "from": 10, "bars": "C | G"})");
    std::vector<int> left;
    for (int second = 10; second < 14; ++second)
        left.push_back(layer<overlay::NextChordCard>(timeline.scene_at(ms(second * 1000)))->beats_left);
    EXPECT_THAT(left, ElementsAre(4, 3, 2, 1));
    EXPECT_EQ(layer<overlay::NextChordCard>(timeline.scene_at(ms(13'999)))->label.base, "G");
    EXPECT_EQ(layer<overlay::NextChordCard>(timeline.scene_at(ms(14'000))), std::nullopt) << "G is the last chord";
}

// 6/8 at 60: two dotted quarters a bar of two seconds, six eighths.
TEST(Timeline, InCompoundMetersThePulseIsCountedEverywhere)
{
    auto const timeline =
        timeline_of(R"({"name": "Verse", "from": 10, "meter": "6/8", "count_in": 1, "bars": "C | G"})");
    EXPECT_EQ(layer<overlay::NextChordCard>(timeline.scene_at(ms(10'999)))->beats_left, 2);
    EXPECT_EQ(layer<overlay::BarRibbon>(timeline.scene_at(ms(11'000)))->pulse, 1);
    EXPECT_EQ(layer<overlay::BarRibbon>(timeline.scene_at(ms(11'000)))->pulses, 2);
    EXPECT_EQ(*layer<overlay::CountIn>(timeline.scene_at(ms(9'500))), (overlay::CountIn{2, 2}));
}

TEST(Timeline, OnlyAChordOfATalkStandsAlone)
{
    auto const timeline = timeline_of(R"({"name": "Talk", "from": 2, "to": 8, "show": [{"chord": "F", "from": 3}]},
        {"name": "Verse", "from": 10, "bars": "C | G"})");
    EXPECT_TRUE(layer<overlay::ChordCard>(timeline.scene_at(ms(4'000)))->alone);
    EXPECT_FALSE(layer<overlay::ChordCard>(timeline.scene_at(ms(12'000)))->alone);
    EXPECT_FALSE(layer<overlay::ChordCard>(timeline.scene_at(ms(15'000)))->alone) << "the last chord neither";
}

/// Bits as they are read: the first beat at the left.
std::string groups(overlay::GroupStarts starts, int count)
{
    std::string text;
    for (int i = 0; i < count; ++i)
        text += (starts >> i & 1U) != 0 ? '|' : '.';
    return text;
}

// 7/8 at 60: seven eighths of a second each, in groups of 2, 2 and 3.
TEST(Timeline, GroupsOfAnOddMeterAreSeenInTheCountTheBarsAndTheTimeLeft)
{
    auto const timeline = timeline_of(
        R"({"name": "Verse", "from": 10, "meter": "2+2+3/8", "count_in": 1, "bars": "C / / / G / / | Am"})");
    auto const count = layer<overlay::CountIn>(timeline.scene_at(ms(5'500)));
    EXPECT_EQ(count->beat, 3);
    EXPECT_EQ(count->beats, 7);
    EXPECT_EQ(groups(count->groups, 7), "|.|.|..");
    auto const bars = layer<overlay::BarRibbon>(timeline.scene_at(ms(14'000)));
    EXPECT_EQ(bars->pulse, 4);
    EXPECT_EQ(groups(bars->groups, bars->pulses), "|.|.|..");
    auto const first = layer<overlay::NextChordCard>(timeline.scene_at(ms(10'000)));
    EXPECT_EQ(first->beats_left, 4);
    EXPECT_EQ(groups(first->groups, first->beats), ".|.|") << "counted back from the G on beat 5";
    auto const second = layer<overlay::NextChordCard>(timeline.scene_at(ms(14'000)));
    EXPECT_EQ(second->beats_left, 3);
    EXPECT_EQ(groups(second->groups, second->beats), "..|") << "counted back from the Am";
    EXPECT_EQ(layer<overlay::CountIn>(timeline.scene_at(ms(10'000))), std::nullopt);
}

// The film of a part in an odd meter is the same with its groups and without: they are weight, not time.
TEST(Timeline, GroupsChangeNoTime)
{
    auto const bars = [](char const* meter) {
        return timeline_of(
            fmt::format(R"({{"name": "Verse", "from": 10, "meter": "{}", "bars": "C / / G / | Am"}})", meter));
    };
    for (char const* meter : {"3+2/4", "2+3/4"})
        EXPECT_EQ(chords(bars(meter)), chords(bars("5/4"))) << meter;
    EXPECT_THAT(chords(bars("3+2/4")), ElementsAre("C 10.0-13.0", "G 13.0-15.0", "Am 15.0-20.0"));
}

TEST(Timeline, WhereEachBeatWeighsAlikeNoneStandsApart)
{
    for (char const* meter : {"4/4", "6/8", "12/8", "3/4", "3+3/8"}) {
        auto const timeline = timeline_of(
            fmt::format(R"({{"name": "Verse", "from": 30, "meter": "{}", "count_in": 1, "bars": "C | G"}})", meter));
        EXPECT_EQ(layer<overlay::CountIn>(timeline.scene_at(ms(29'900)))->groups, 0U) << meter;
        EXPECT_EQ(layer<overlay::BarRibbon>(timeline.scene_at(ms(30'000)))->groups, 0U) << meter;
        EXPECT_EQ(layer<overlay::NextChordCard>(timeline.scene_at(ms(30'000)))->groups, 0U) << meter;
    }
}

// C x32010 (index on string 2, middle on 4, ring on 5) to Am7 x02010: index and middle stay where they are. Positions
// count from the low string: 4 and 2.
TEST(Timeline, MarksTheFingersThatStayDown)
{
    auto const timeline = timeline_of(
        R"({"name": "Verse", "from": 10, "bars": "C | Am7"})",
        R"("shapes": {"C": {"frets": "x32010", "fingers": "-32-1-"}, "Am7": {"frets": "x02010", "fingers": "--2-1-"}},)");
    EXPECT_THAT(layer<overlay::ChordCard>(timeline.scene_at(ms(12'000)))->staying, ElementsAre(2, 4));
    EXPECT_THAT(layer<overlay::NextChordCard>(timeline.scene_at(ms(12'000)))->staying, ElementsAre(2, 4));
    EXPECT_THAT(layer<overlay::ChordCard>(timeline.scene_at(ms(15'000)))->staying, IsEmpty()) << "nothing follows";
}

// Index and middle stand on strings 2 and 4 in all four shapes; positions count from the low string. The bar without a
// chord lifts nothing.
TEST(Timeline, MarksTheFingersThatStayThroughAWholePart)
{
    std::string const shapes = R"("shapes": {"C": {"frets": "x32010", "fingers": "-32-1-"},
        "Am7": {"frets": "x02010", "fingers": "--2-1-"}, "Am": {"frets": "x02210", "fingers": "--231-"},
        "C/G": {"frets": "332010", "fingers": "342-1-"}, "E": {"frets": "022100", "fingers": "-231--"}},)";
    auto const timeline = timeline_of(R"({"name": "Verse", "from": 10, "bars": "C | Am7 | N.C. | Am | C/G"},
        {"name": "Bridge", "from": 40, "bars": "C | Am7 | E"})",
                                      shapes);
    auto const playing = timeline.scene_at(ms(12'000));
    EXPECT_THAT(layer<overlay::ChordCard>(playing)->anchored, ElementsAre(2, 4));
    EXPECT_THAT(layer<overlay::NextChordCard>(playing)->anchored, ElementsAre(2, 4));
    EXPECT_THAT(layer<overlay::ChordCard>(timeline.scene_at(ms(41'000)))->anchored, IsEmpty()) << "E lifts them";
    EXPECT_EQ(layer<overlay::SectionBanner>(timeline.scene_at(ms(41'000)))->subtitle, "");
    auto const second =
        timeline_of(R"({"name": "Talk", "from": 0}, {"name": "Verse", "from": 10, "bars": "C | C/G"})", shapes);
    EXPECT_EQ(layer<overlay::SectionBanner>(second.scene_at(ms(10'500)))->subtitle,
              "Keep fingers 1 and 2 on strings 2 and 4 (frets 1 and 2)");
}

// Key E behind a capo at the fourth fret is played in C (four half-steps). The diagrams show the capo all the time.
TEST(Timeline, SaysTheCapoWithBothKeysAsAPartBegins)
{
    auto const timeline = timeline_of(R"({"name": "Verse", "from": 10, "bars": "C | G"}, {"name": "Talk", "from": 20})",
                                      R"("capo": 4, "key": "E",)");
    auto const capo = [&](int at) { return layer<overlay::CapoLine>(timeline.scene_at(ms(at))); };
    EXPECT_EQ(*capo(12'000), (overlay::CapoLine{4, "C", "E"}));
    EXPECT_EQ(capo(9'000), std::nullopt);
    EXPECT_EQ(capo(13'100), std::nullopt) << "said for three seconds";
    EXPECT_EQ(capo(21'000), std::nullopt) << "no chords";
}

TEST(Timeline, LightsTheStepOfThePattern)
{
    auto const timeline = timeline_of(R"({"name": "Verse", "from": 10, "strum": "s", "bars": "C | G"})",
                                      R"("strums": {"s": {"steps": "D - D U - U D U", "swing": 0.667}},)");
    auto const lit = [&](int at) { return layer<overlay::StrumLane>(timeline.scene_at(ms(at)))->lit_step; };
    EXPECT_EQ(lit(10'000), 0);
    EXPECT_EQ(lit(10'660), 0) << "swung: the off-beat comes two thirds into the beat";
    EXPECT_EQ(lit(10'670), 1);
    EXPECT_EQ(lit(11'000), 2);
    EXPECT_EQ(lit(17'999), 7);
    EXPECT_EQ(layer<overlay::StrumLane>(timeline.scene_at(ms(18'000))), std::nullopt);
}

// C x32010 has its bass on string 5, G 320003 on string 6.
TEST(Timeline, FindsTheBassStringOfEachChord)
{
    auto const timeline = timeline_of(R"({"name": "Verse", "from": 10, "strum": "s", "bars": "C | G"})",
                                      R"("strums": {"s": "Rp 3i 2m 3i"}, "shapes": {"C": "x32010", "G": "320003"},)");
    EXPECT_EQ(layer<overlay::StrumLane>(timeline.scene_at(ms(12'000)))->bass_string, 5);
    EXPECT_EQ(layer<overlay::StrumLane>(timeline.scene_at(ms(15'000)))->bass_string, 6);
}

/// Numbers of the bars that are seen at an instant, the current one first.
std::vector<int> bars_seen(Timeline const& timeline, int at)
{
    std::vector<int> numbers;
    auto const ribbon = layer<overlay::BarRibbon>(timeline.scene_at(ms(at)));
    for (auto const& bar : ribbon->bars)
        numbers.push_back(bar.number);
    return numbers;
}

TEST(Timeline, TheRibbonLooksThreeBarsAhead)
{
    auto const timeline = timeline_of(R"({"name": "Verse", "from": 10, "bars": "C | % | G | Am | F / C /"})");
    EXPECT_THAT(bars_seen(timeline, 10'000), ElementsAre(1, 2, 3, 4));
    EXPECT_THAT(bars_seen(timeline, 15'500), ElementsAre(2, 3, 4, 5));
    EXPECT_THAT(bars_seen(timeline, 26'000), ElementsAre(5)) << "none is left";
    auto const ribbon = *layer<overlay::BarRibbon>(timeline.scene_at(ms(15'500)));
    EXPECT_EQ(ribbon.pulse, 1);
    EXPECT_EQ(ribbon.part, "Verse");
    EXPECT_EQ(ribbon.bars_in_section, 5);
    EXPECT_EQ(ribbon.bars[3].chords.size(), 2U);
}

// "N.C." sounds nothing: no step is due. The stroke before the chord comes is marked in time.
TEST(Timeline, MarksTheStrokeThatComesNextAndRestsWithTheChord)
{
    auto const timeline = timeline_of(R"({"name": "Verse", "from": 10, "strum": "s", "bars": "C | N.C. | G"})",
                                      R"("strums": {"s": "D - D U - U D U"},)");
    auto const lane = [&](int at) { return *layer<overlay::StrumLane>(timeline.scene_at(ms(at))); };
    EXPECT_EQ(lane(10'000).next_stroke, 2) << "the hand passes on the first &";
    EXPECT_EQ(lane(10'500).next_stroke, 2);
    EXPECT_EQ(lane(13'500).next_stroke, std::nullopt) << "a bar of rest follows";
    EXPECT_FALSE(lane(13'500).silent);
    EXPECT_TRUE(lane(15'000).silent);
    EXPECT_EQ(lane(15'000).lit_step, std::nullopt);
    EXPECT_EQ(lane(15'000).next_stroke, std::nullopt);
    EXPECT_EQ(lane(17'500).next_stroke, 0) << "G begins with a stroke";
    EXPECT_EQ(lane(18'000).lit_step, 0);
}

TEST(Timeline, InTheLastBeatTheNextShapeIsSeenComing)
{
    auto const timeline = timeline_of(R"({"name": "Verse", "from": 10, "bars": "C | G"})");
    auto const coming = [&](int at) { return layer<overlay::ChordCard>(timeline.scene_at(ms(at)))->coming; };
    EXPECT_EQ(coming(12'999), std::nullopt);
    ASSERT_TRUE(coming(13'000));
    EXPECT_EQ(coming(13'000), layer<overlay::ChordCard>(timeline.scene_at(ms(14'000)))->shape);
    EXPECT_EQ(coming(17'500), std::nullopt) << "nothing follows G";
}

TEST(Timeline, AllThatIsPlayedIsReadyFromTheCountInOn)
{
    auto const timeline = timeline_of(R"({"name": "Verse", "from": 10, "count_in": 1, "strum": "s", "bars": "C | G"})",
                                      R"("strums": {"s": "- D U D"},)");
    for (int const at : {6'000, 9'999}) {
        auto const scene = timeline.scene_at(ms(at));
        EXPECT_EQ(layer<overlay::ChordCard>(scene)->label.base, "C");
        EXPECT_EQ(layer<overlay::NextChordCard>(scene)->label.base, "G");
        EXPECT_EQ(layer<overlay::StrumLane>(scene)->lit_step, std::nullopt);
        EXPECT_EQ(layer<overlay::StrumLane>(scene)->next_stroke, 1) << "the pattern begins with a rest";
        EXPECT_EQ(layer<overlay::BarRibbon>(scene)->pulse, std::nullopt);
        for (overlay::Layer const& each : scene.layers)
            if (!std::holds_alternative<overlay::CountIn>(each.content)) {
                EXPECT_EQ(each.level, overlay::kFullLevel);
            }
    }
}

// The verse is played until the chorus begins: its last bars are not hidden by the count into the chorus.
TEST(Timeline, ACountInDoesNotHideWhatIsStillPlayed)
{
    auto const timeline = timeline_of(R"({"name": "Verse", "from": 10, "bars": "C | G"},
        {"name": "Chorus", "from": 18, "count_in": 1, "bars": "Am | F"})");
    auto const scene = timeline.scene_at(ms(15'000));
    EXPECT_EQ(layer<overlay::ChordCard>(scene)->label.base, "G");
    EXPECT_EQ(layer<overlay::NextChordCard>(scene)->label.base, "Am");
    EXPECT_EQ(layer<overlay::BarRibbon>(scene)->part, "Verse");
    EXPECT_TRUE(layer<overlay::CountIn>(scene));
}

TEST(Timeline, CountsInBeforeTheFirstBar)
{
    auto const timeline = timeline_of(R"({"name": "Verse", "from": 10, "count_in": 1, "bars": "C | G"})");
    EXPECT_EQ(*layer<overlay::CountIn>(timeline.scene_at(ms(6'000))), (overlay::CountIn{1, 4}));
    EXPECT_EQ(*layer<overlay::CountIn>(timeline.scene_at(ms(9'999))), (overlay::CountIn{4, 4}));
    EXPECT_EQ(layer<overlay::CountIn>(timeline.scene_at(ms(10'000))), std::nullopt);
    EXPECT_EQ(layer<overlay::SectionBanner>(timeline.scene_at(ms(7'000)))->title, "Verse");
}

TEST(Timeline, APieceGoesOnInTheMiddleOfItsBarsWithoutBeingAnnounced)
{
    auto const timeline = timeline_of(R"({"name": "Verse", "from": 10, "count_in": 1, "bars": "C | G | Am | F",
        "piece": {"from_bar": "2.3", "number": 2}})");
    EXPECT_THAT(chords(timeline), ElementsAre("G 10.0-12.0", "Am 12.0-16.0", "F 16.0-20.0"));
    EXPECT_EQ(layer<overlay::SectionBanner>(timeline.scene_at(ms(10'500))), std::nullopt);
    EXPECT_EQ(layer<overlay::CountIn>(timeline.scene_at(ms(9'500))), std::nullopt);
    EXPECT_EQ(layer<overlay::BarRibbon>(timeline.scene_at(ms(10'500)))->pulse, 2);
}

TEST(Timeline, PinsOutsideASectionPlaceTheBarsThatItShows)
{
    auto const timeline = timeline_of(R"({"name": "Verse", "from": 0, "to": 6, "bars": "C | G | Am",
        "pins": [["1.1", "-0:02"], ["2.1", "0:02"]], "piece": {"from_bar": "1.3"}})");
    EXPECT_THAT(chords(timeline), ElementsAre("C 0.0-2.0", "G 2.0-6.0"));
}

TEST(Timeline, ALevelIsChosenForTheFilmAndOverruledByACue)
{
    auto const lesson = lesson_with(
        R"({"name": "T", "from": 0, "to": 9, "show": [{"chord": "F", "from": 1}, {"chord": "F", "level": "full", "from": 4}]})",
        R"("shapes": {"F": {"easy": "xx3211", "full": "133211"}},)");
    auto const easy = Timeline::resolve(lesson, kFilm, {Level::easy});
    EXPECT_EQ(easy.chords()[0].shape->frets_text(), "xx3211");
    EXPECT_EQ(easy.chords()[1].shape->frets_text(), "133211");
}

TEST(Timeline, AChordWithoutAShapeInTheFileGetsTheUsualOne)
{
    auto const timeline = timeline_of(R"({"name": "Verse", "from": 10, "bars": "C"})");
    EXPECT_EQ(timeline.chords()[0].shape->frets_text(), "x32010");
}

/// Kinds of layers on screen at an instant that sit in a corner.
std::vector<std::size_t> kinds_in(Timeline const& timeline, Time time, std::optional<overlay::Corner> corner)
{
    std::vector<std::size_t> kinds;
    for (overlay::Layer const& candidate : timeline.scene_at(time).layers)
        if (candidate.corner == corner)
            kinds.push_back(candidate.content.index());
    return kinds;
}

// Verse: 10 to 18. Chorus: 18 to 26. The talk leaves the corner to the lesson.
TEST(Timeline, ASectionsOwnPlacementMovesItsOverlaysAlone)
{
    using overlay::Corner;
    auto const timeline = timeline_of(
        R"({"name": "Verse", "from": 10, "strum": "s", "bars": "C | G"},
           {"name": "Chorus", "from": 18, "placement": "bottom-right", "strum": "s", "text": "Softly", "bars": "Am | F"},
           {"name": "Talk", "from": 30, "to": 40, "placement": "auto", "show": [{"chord": "C", "from": 31}]})",
        R"("capo": 5, "placement": "top-right", "strums": {"s": "D U D U"},)");
    EXPECT_EQ(timeline.sections()[0].corner, Corner::top_right);
    EXPECT_EQ(timeline.sections()[1].corner, Corner::bottom_right);
    EXPECT_EQ(timeline.sections()[2].corner, Corner::top_right);
    EXPECT_THAT(kinds_in(timeline, ms(11'000), Corner::bottom_right), IsEmpty());
    EXPECT_EQ(kinds_in(timeline, ms(11'000), std::nullopt).size(), 6) << "capo, ribbon, strum, chord, next, banner";
    EXPECT_EQ(kinds_in(timeline, ms(19'000), Corner::bottom_right).size(), 7) << "those and a text";
    EXPECT_THAT(kinds_in(timeline, ms(19'000), std::nullopt), IsEmpty());
    EXPECT_THAT(kinds_in(timeline, ms(35'000), Corner::bottom_right), IsEmpty());
    auto const before_the_chorus = timeline.scene_at(ms(17'000));
    EXPECT_EQ(layer<overlay::NextChordCard>(before_the_chorus)->label.base, "Am");
    EXPECT_THAT(kinds_in(timeline, ms(17'000), Corner::bottom_right), IsEmpty())
        << "the next chord stays beside the chord that it follows";
}

/// The level of the chord card at an instant; 0 where there is none.
int chord_level(Timeline const& timeline, Time time)
{
    for (overlay::Layer const& candidate : timeline.scene_at(time).layers)
        if (std::holds_alternative<overlay::ChordCard>(candidate.content))
            return candidate.level;
    return 0;
}

// Never late: what is due at an instant is there in full at it, so a fade in comes before it; gone is gone.
TEST(Timeline, FadesInBeforeTheInPointAndOutBeforeTheOutPoint)
{
    auto const timeline = timeline_of(R"({"name": "Talk", "from": 5, "to": 20, "show": [
        {"chord": "C", "from": 10, "to": 12}, {"chord": "G", "from": 12.06, "to": 15}]})");
    struct Level {
        int at;
        int level;
        char const* why;
    };
    for (Level const& c :
         {Level{9'849, 0, "three steps of 50 ms before"}, Level{9'850, 2, "a quarter"}, Level{9'900, 4, "half"},
          Level{9'950, 6, "three quarters"}, Level{10'000, 8, "in full"}, Level{11'849, 8, "until the fade out"},
          Level{11'999, 2, "its last step"}, Level{12'000, 4, "room for 60 ms alone: from two steps before"},
          Level{12'009, 4, "two"}, Level{12'010, 6, "one"}, Level{12'060, 8, "in full"}, Level{15'000, 0, "gone"}})
        EXPECT_EQ(chord_level(timeline, ms(c.at)), c.level) << c.at << ": " << c.why;
}

TEST(Timeline, APartShowsNothingBeforeItBegins)
{
    auto const timeline = timeline_of(R"({"name": "Verse", "from": 10, "bars": "C | G"})");
    EXPECT_EQ(chord_level(timeline, ms(9'999)), 0) << "what stands before it may be another film";
    EXPECT_EQ(chord_level(timeline, ms(10'000)), overlay::kFullLevel);
    EXPECT_EQ(chord_level(timeline, ms(17'701)), overlay::kFullLevel);
    EXPECT_GT(chord_level(timeline, ms(17'999)), 0);
    EXPECT_LT(chord_level(timeline, ms(17'999)), overlay::kFullLevel);
}

// Two stretches of film meet at 9.95 s: what is due after it is not seen on the pictures before it.
TEST(Timeline, NothingFadesInOverASeam)
{
    auto const timeline = timeline_of(R"({"name": "Talk", "from": 5, "to": 20, "seams": [9.95, 14.2], "show": [
        {"chord": "C", "from": 10, "to": 12}, {"chord": "G", "from": 14.2, "to": 17}]})");
    EXPECT_EQ(chord_level(timeline, ms(9'949)), 0);
    EXPECT_EQ(chord_level(timeline, ms(9'950)), 6) << "three quarters: one step of 50 ms is left";
    EXPECT_EQ(chord_level(timeline, ms(10'000)), overlay::kFullLevel);
    EXPECT_EQ(chord_level(timeline, ms(14'199)), 0);
    EXPECT_EQ(chord_level(timeline, ms(14'200)), overlay::kFullLevel);
}

TEST(Timeline, AChangeOfChordDoesNotFlicker)
{
    auto const timeline = timeline_of(R"({"name": "Verse", "from": 10, "bars": "C | G | Am / F /"})");
    for (Time time = ms(10'300); time < ms(21'700); time += ms(10))
        ASSERT_EQ(chord_level(timeline, time), overlay::kFullLevel) << to_seconds(time);
}

/// Instants at which a chord, a bar or a stroke of a played part begins.
template <class Check>
void at_every_change(Timeline const& timeline, Check check)
{
    for (Time const instant : timeline.change_instants())
        for (SectionSpan const& section : timeline.sections())
            if (instant >= section.bars_in && instant < section.bars_out)
                check(instant, section);
}

Timeline rich_timeline()
{
    return timeline_of(
        R"({"name": "Talk", "from": 0, "to": 8, "show": [{"chord": "F", "text": "Here", "from": 1}, {"strum": "s", "from": 2, "to": 4}]},
        {"name": "Verse", "from": 10.017, "count_in": 1, "strum": "s", "tempo": 93.7, "bars": "C | G/B | F / C / | % | N.C."},
        {"name": "Bridge", "meter": "6/8", "pins": [["1.1", 24.3], ["3.1", 27.77], ["5.1", 31.02]], "strum": "s", "bars": "|: Am | C G :| x2", "text": "Slowly"})",
        R"("capo": 4, "key": "E", "strums": {"s": {"steps": "Rp 3i 2m 3i Rp 3i 2m 3i", "swing": 0.6}},)");
}

TEST(Timeline, TheNextTwoBarsAreInEverySceneOfAPlayedPart)
{
    auto const timeline = rich_timeline();
    int scenes = 0;
    at_every_change(timeline, [&](Time time, SectionSpan const&) {
        auto const ribbon = layer<overlay::BarRibbon>(timeline.scene_at(time));
        ASSERT_TRUE(ribbon);
        int const number = ribbon->bars.front().number;
        int const wanted = std::min(3, ribbon->bars_in_section - number + 1);
        ASSERT_GE(ribbon->bars.size(), static_cast<std::size_t>(wanted));
        for (int ahead = 0; ahead < wanted; ++ahead)
            EXPECT_EQ(ribbon->bars[static_cast<std::size_t>(ahead)].number, number + ahead);
        ++scenes;
    });
    EXPECT_GT(scenes, 50);
}

// The picture of a change is exact: what is played is never half there when a stroke or a chord begins.
TEST(Timeline, WhatIsPlayedIsInFullAtTheFirstStrokeAndAtEveryChord)
{
    auto const timeline = rich_timeline();
    for (ChordSpan const& chord : timeline.chords()) {
        if (!chord.played)
            continue;
        for (overlay::Layer const& each : timeline.scene_at(chord.in).layers)
            if (each.content.index() <= 4) { // chord, next, capo, strum, bars
                EXPECT_EQ(each.level, overlay::kFullLevel) << chord.name << " at " << to_seconds(chord.in);
            }
    }
}

// The law that rendering by runs rests on: between two instants nothing changes, so asking once is asking each frame.
TEST(Timeline, RunsOfEqualScenesAreWhatAskingFrameByFrameGives)
{
    auto const timeline = rich_timeline();
    auto const& instants = timeline.change_instants();
    for (FrameRate const rate : {FrameRate{25, 1}, FrameRate{60000, 1001}}) {
        for (std::int64_t frame = 0; from_frame(frame, rate) < ms(40'000); ++frame) {
            Time const time = from_frame(frame, rate);
            auto const after = std::ranges::upper_bound(instants, time);
            overlay::Scene const run =
                after == instants.begin() ? overlay::Scene{} : timeline.scene_at(*std::prev(after));
            ASSERT_EQ(timeline.scene_at(time), run) << to_seconds(time);
        }
    }
}

TEST(Timeline, ChangesAtAFiniteRisingListOfInstantsAndIsEmptyOutsideIt)
{
    auto const timeline = rich_timeline();
    auto const& instants = timeline.change_instants();
    ASSERT_GT(instants.size(), 50U);
    EXPECT_LT(instants.size(), 1000U);
    EXPECT_EQ(std::ranges::adjacent_find(instants, std::greater_equal{}), instants.end());
    EXPECT_TRUE(timeline.scene_at(instants.front() - Time{1}).empty());
    EXPECT_TRUE(timeline.scene_at(instants.back()).empty());
    EXPECT_FALSE(timeline.scene_at(instants.front()).empty());
}

RC_GTEST_PROP(Timeline, EverySceneChangeIsAtAnInstantOfTheList, ())
{
    static Timeline const timeline = rich_timeline();
    Time const time{*rc::gen::inRange<std::int64_t>(0, 35 * kFlicksPerSecond)};
    auto const& instants = timeline.change_instants();
    bool const listed = std::ranges::binary_search(instants, time);
    RC_ASSERT((listed || timeline.scene_at(time) == timeline.scene_at(time - Time{1})));
}

TEST(Timeline, TheCardsOfOneLayerNeverOverlap)
{
    auto const timeline = timeline_of(
        R"({"name": "T", "from": 0, "to": 20, "show": [{"chord": "C", "from": 1, "to": 15}, {"chord": "G", "from": 5, "to": 8}]})");
    auto const shown = [&](int at) {
        auto const card = layer<overlay::ChordCard>(timeline.scene_at(ms(at)));
        return card ? card->label.base : "";
    };
    EXPECT_EQ(shown(4'000), "C");
    EXPECT_EQ(shown(6'000), "G") << "the later cue is shown";
    EXPECT_EQ(shown(9'000), "");
}

} // namespace
} // namespace tabard::pipeline
