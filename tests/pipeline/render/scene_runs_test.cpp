#include "pipeline/render/scene_runs.h"

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

// In-points between pictures: the first picture whose time is not before them.
TEST(SceneRuns, WaitForTheNextPictureWhereTheInPointLiesBetweenTwo)
{
    SceneRuns const runs({{frame(10) + Time{1}, frame(20) + Time{1}, text("a")}});
    EXPECT_EQ(runs.at(frame(10)), nullptr);
    EXPECT_NE(runs.at(frame(11)), nullptr);
    EXPECT_NE(runs.at(frame(20)), nullptr);
    EXPECT_EQ(runs.at(frame(21)), nullptr);
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
