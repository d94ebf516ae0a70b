#include "pipeline/render/scene_runs.h"

#include <vector>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

overlay::Scene text(char const* words) { return {{{overlay::TextCard{words}}}}; }

Time frame(std::int64_t index) { return from_frame(index, {30000, 1001}); }

TEST(SceneRuns, ShowAnOverlayFromThePictureAtItsInPointToTheOneBeforeItsOutPoint)
{
    SceneRuns const runs({{frame(10), frame(20), text("a")}});
    EXPECT_EQ(runs.at(frame(9)), nullptr);
    ASSERT_NE(runs.at(frame(10)), nullptr);
    EXPECT_EQ(runs.at(frame(10))->scene, text("a"));
    ASSERT_NE(runs.at(frame(19)), nullptr);
    EXPECT_EQ(runs.at(frame(20)), nullptr);
}

constexpr Time ms(std::int64_t milliseconds) { return from_ticks(milliseconds, 1, 1000); }

// Late is noticed sooner than early (ITU-R BT.1359-1: 45 ms, 125 ms). So what comes between two pictures is on the one
// that is on screen then, and what goes is gone from it; a picture that begins at most 1 ms later is that one.
TEST(SceneRuns, AreNeverLateWhereTheInPointLiesBetweenTwoPictures)
{
    struct Case {
        char const* what;
        Time in;
        std::size_t first; // picture that shows it, of times below
    };
    // A long first picture of 185 ms, as phones make it, then 33 and 34 ms.
    std::vector<Time> const times{ms(0), ms(185), ms(218), ms(252), ms(285), ms(318)};
    for (Case const& c : {Case{"at its first instant", ms(185), 1}, Case{"long before the next picture", ms(20), 0},
                          Case{"1 ms before a picture", ms(184), 1}, Case{"more than 1 ms before one", ms(183), 0},
                          Case{"a hair before one", ms(218) - Time{1}, 2}, Case{"just after one", ms(218) + Time{1}, 2},
                          Case{"1 ms and a hair before one", ms(217) - Time{1}, 1}}) {
        SCOPED_TRACE(c.what);
        SceneRuns const comes = SceneRuns({{c.in, ms(1000), text("a")}}).on_pictures(times, ms(352));
        SceneRuns const goes = SceneRuns({{Time{0}, c.in, text("a")}}).on_pictures(times, ms(352));
        for (std::size_t i = 0; i < times.size(); ++i) {
            EXPECT_EQ(comes.at(times[i]) != nullptr, i >= c.first) << i;
            EXPECT_EQ(goes.at(times[i]) != nullptr, i < c.first) << i;
        }
    }
}

// A screen recorder's picture that stays for eight seconds: whatever comes and goes meanwhile is seen at its time.
TEST(SceneRuns, AreSeenWhileOnePictureStays)
{
    SceneRuns const runs(
        {{ms(100), ms(1200), text("a")}, {ms(1200), ms(3000), text("b")}, {ms(8200), ms(9000), text("c")}});
    EXPECT_EQ(runs.with_repeats({ms(0), ms(40), ms(8040), ms(8080)}, ms(8120)),
              (std::vector<Time>{ms(0), ms(40), ms(100), ms(1200), ms(3000), ms(8040), ms(8080)}));
    std::vector<SceneRun> const seen{{ms(100), ms(1200), text("a")}, {ms(1200), ms(3000), text("b")}};
    EXPECT_EQ(runs.on_pictures({ms(0), ms(40), ms(8040), ms(8080)}, ms(8120)).all(), seen);
}

// At the ends of its time a picture needs no other, nor does one that stays for half a second.
TEST(SceneRuns, AreNotRepeatedForNothing)
{
    SceneRuns const runs({{ms(1), ms(500), text("a")}, {ms(500), ms(999), text("b")}, {ms(999), ms(1600), text("c")}});
    EXPECT_EQ(runs.repeats(ms(0), ms(1000)), std::vector<Time>{ms(500)});
    EXPECT_EQ(runs.repeats(ms(300), ms(800)), std::vector<Time>{});
    EXPECT_EQ(runs.repeats(ms(300), ms(800) + Time{1}), std::vector<Time>{ms(500)});
    EXPECT_EQ(runs.repeats(ms(2000), ms(9000)), std::vector<Time>{});
}

TEST(SceneRuns, OfWholePicturesAreNotMoved)
{
    SceneRuns const runs({{frame(10), frame(20), text("a")}, {frame(20), frame(24), text("b")}});
    std::vector<Time> times;
    for (int i = 0; i < 30; ++i)
        times.push_back(frame(i));
    EXPECT_EQ(runs.on_pictures(times, frame(30)).all(), runs.all());
}

TEST(SceneRuns, ThatComeInsideTheLastPictureAreSeenOnIt)
{
    SceneRuns const runs({{ms(90), ms(95), text("a")}, {ms(95), ms(400), text("b")}});
    SceneRuns const seen = runs.on_pictures({ms(0), ms(40), ms(80)}, ms(120));
    std::vector<SceneRun> const expected = {{ms(80), ms(120), text("b")}};
    EXPECT_EQ(seen.all(), expected);
}

TEST(SceneRuns, JoinEqualNeighboursAndDropWhatShowsNothing)
{
    SceneRuns const runs({{Time{0}, Time{5}, {}},
                          {Time{5}, Time{9}, text("a")},
                          {Time{9}, Time{12}, text("a")},
                          {Time{12}, Time{12}, text("b")},
                          {Time{12}, Time{15}, text("c")},
                          {Time{16}, Time{18}, text("c")}});
    std::vector<SceneRun> const expected = {
        {Time{5}, Time{12}, text("a")}, {Time{12}, Time{15}, text("c")}, {Time{16}, Time{18}, text("c")}};
    EXPECT_EQ(runs.all(), expected);
    EXPECT_EQ(runs.at(Time{15}), nullptr);
}

} // namespace
} // namespace tabard::pipeline
