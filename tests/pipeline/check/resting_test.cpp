// Where the playing stops and goes on, the rules look at what is played.
#include "tests/pipeline/check/checked_file.h"

#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

/// Findings for a part of four bars in C with these pins.
std::vector<std::string> codes(std::string_view pins, std::string_view more = "")
{
    return codes_of(checked_text(fmt::format(
        R"({{"tabard": 1, "title": "Lantern on the Quay", "footage": "lantern.mp4", "key": "C", "tempo": 60,
        "sections": [{{"name": "Verse", "bars": "C | G | Am | F", "pins": {}{}}}]}})",
        pins, more)));
}

TEST(RulesAtRest, FindNothingInPausesAndSkips)
{
    for (std::string_view const pins : {
             R"([["1.1", "0:10"], ["3.1", "0:18 to 0:24"], ["5.1", "0:32"]])",
             R"([["1.1", "0:10"], ["3.1", "0:18 to 0:18.5"], ["5.1", "0:26.5"]])",
             R"([["1.1", "0:10"], ["3.3", "0:20 to 0:24"], ["5.1", "0:30"]])",
             R"([["1.1", "0:10"], ["2.1 to 3.1", "0:14"], ["5.1", "0:22"]])",
             R"([["1.1", "0:10"], ["2.1 to 3.1", "0:14 to 0:20"], ["5.1", "0:28"]])",
             R"([["1.1", "0:10 to 0:14"], ["5.1", "0:30 to 0:40"]])",
             R"([["1.1", "0:10"], ["3.1 to 5.1", "0:18"]])",
             R"([["1.1", "0:10"], ["3.1 to 5.1", "0:18 to 0:30"]])",
             R"([["3.1", "0:18 to 1:30"]])",
         })
        EXPECT_THAT(codes(pins), IsEmpty()) << pins;
}

// A teacher says how it goes, and then plays it at 80.
TEST(RulesAtRest, TheTempoMayChangeInAPauseOnly)
{
    EXPECT_THAT(codes(R"([["1.1", "0:10"], ["3.1", "0:18 to 0:24"], ["5.1", "0:30"]])"), IsEmpty());
    EXPECT_THAT(codes(R"([["1.1", "0:10"], ["3.1", "0:18"], ["5.1", "0:24"]])"), ElementsAre("tempo-jump"));
    EXPECT_THAT(codes(R"([["1.1", "0:10"], ["3.1", "0:18 to 0:18.5"], ["5.1", "0:24.5"]])"), ElementsAre("tempo-jump"));
}

TEST(RulesAtRest, AChordMayBeExplainedInAPauseButNotWhileOthersArePlayed)
{
    constexpr std::string_view kPins = R"([["1.1", "0:10"], ["3.1", "0:18 to 0:24"], ["5.1", "0:32"]])";
    EXPECT_THAT(codes(kPins, R"(, "show": [{"chord": "Am", "from": "0:19.2", "to": "0:22"}])"), IsEmpty());
    EXPECT_THAT(codes(kPins, R"(, "show": [{"chord": "Am", "from": "0:19.2"}])"), IsEmpty())
        << "it ends with the pause";
    EXPECT_THAT(codes(kPins, R"(, "show": [{"chord": "Am", "from": "0:19.2", "to": "0:25"}])"),
                ElementsAre("cue-overlap"));
    EXPECT_THAT(codes(kPins, R"(, "show": [{"chord": "Am", "from": "0:16", "to": "0:20"}])"),
                ElementsAre("cue-overlap"));
}

// A quarter of a second of G is no notice for the chord after it, but the pause after it is.
TEST(RulesAtRest, APauseGivesTimeToLook)
{
    auto const codes_of_bars = [](std::string_view pins) {
        return codes_of(checked_text(fmt::format(
            R"({{"tabard": 1, "title": "Lantern on the Quay", "footage": "lantern.mp4", "key": "C", "tempo": 60,
            "sections": [{{"name": "Verse", "bars": "C / / G | Am | F", "pins": {}}}]}})",
            pins)));
    };
    EXPECT_THAT(codes_of_bars(R"([["1.1", "0:10"], ["1.4+1/2 to 2.1", "0:13.5"], ["4.1", "0:21.5"]])"),
                ElementsAre("short-notice"));
    EXPECT_THAT(codes_of_bars(R"([["1.1", "0:10"], ["1.4+1/2 to 2.1", "0:13.5 to 0:16"], ["4.1", "0:24"]])"),
                IsEmpty());
}

// Bars that fill their part without a tempo.
TEST(RulesAtRest, ATempoThatFollowsFromTheEndIsJudgedLikeAnother)
{
    auto const codes_until = [](std::string_view to) {
        return codes_of(checked_text(fmt::format(
            R"({{"tabard": 1, "title": "Lantern on the Quay", "footage": "lantern.mp4", "key": "C",
            "sections": [{{"name": "Verse", "from": "0:10", "to": "{}", "bars": "C | G | Am | F"}}]}})",
            to)));
    };
    EXPECT_THAT(codes_until("0:26"), ElementsAre("tempo-from-ends"));
    EXPECT_THAT(codes_until("1:00"), testing::UnorderedElementsAre("tempo-from-ends", "tempo-range"))
        << "16 beats in 50 s: 19 a minute";
    EXPECT_THAT(codes_until("0:09"), testing::Contains("no-length"));
}

} // namespace
} // namespace tabard::pipeline
