#include "pipeline/desk/music/chart_answer.h"
#include "tests/pipeline/desk/lesson_text.h"

#include <algorithm>
#include <chrono>
#include <string>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

using nlohmann::json;
using testing::HasSubstr;
using testing::Not;
using testing::StartsWith;

json typed(std::string const& bars, std::string const& meter = "4/4", std::string const& more = "")
{
    auto const view = desk_view(lesson_text(R"({"name": "Verse", "meter": "3/4", "bars": "C"})", more));
    auto const answer = chart_answer(view, json{{"bars", bars}, {"meter", meter}}.dump());
    EXPECT_EQ(answer.status, 200) << answer.body;
    return json::parse(answer.body);
}

struct Mistake {
    std::string bars;
    int at;     ///< in UTF-16 units, counted by hand
    int length; ///< the same
    std::string what;
};
class TypedChart : public testing::TestWithParam<Mistake> {};

TEST_P(TypedChart, SaysWhichLettersAreWrong)
{
    auto const mistakes = typed(GetParam().bars)["mistakes"];
    ASSERT_EQ(mistakes.size(), 1U) << mistakes;
    EXPECT_EQ(mistakes[0]["at"], GetParam().at);
    EXPECT_EQ(mistakes[0]["length"], GetParam().length);
    EXPECT_THAT(mistakes[0]["what"], HasSubstr(GetParam().what));
    EXPECT_NE(mistakes[0]["fix"], "");
}

INSTANTIATE_TEST_SUITE_P(
    Charts, TypedChart,
    testing::Values(Mistake{"C | Q7 | G", 4, 2, "Q7"},                      //
                    Mistake{"C | Hö🎸 | G", 4, 4, "Hö🎸"},                    // the guitar is two units
                    Mistake{"C\u00A0|\u00A0Gm\u202F|\u3000Xö", 9, 2, "Xö"}, // no-break and wide spaces are one each
                    Mistake{"C | G\nF | Y | G", 10, 1, "Y"},                // a line is a bar's end
                    Mistake{"C | G |\n\n  | Am / | G", 13, 4, "bar 3 has 2 beats"}, // empty lines are nothing
                    Mistake{"C | | G", 4, 1, "there is nothing in this bar"},       //
                    Mistake{"C |: G | F", 2, 2, "not closed"},                      //
                    Mistake{"C | % G", 4, 1, "% repeats a whole bar"}));

TEST(TypedCharts, SayEveryMistakeInOrder)
{
    auto const mistakes = typed("Zz | C / / / / | |: Q")["mistakes"];
    ASSERT_EQ(mistakes.size(), 4U) << mistakes;
    EXPECT_TRUE(std::ranges::is_sorted(mistakes, {}, [](json const& each) { return each["at"].get<int>(); }));
    EXPECT_EQ(mistakes[1]["at"], 5);
    EXPECT_EQ(mistakes[1]["length"], 9);
}

TEST(TypedCharts, KnowTheNamesOfTheLesson)
{
    EXPECT_EQ(typed("easy", "4/4", R"("shapes": {"easy": "x32010"},)")["mistakes"].size(), 0U);
    EXPECT_EQ(typed("easy")["mistakes"].size(), 1U);
}

TEST(TypedCharts, GiveTheBarsAsTheyAreWritten)
{
    EXPECT_EQ(typed("|: C | / / Am / :| x3 | %")["bars"], json::parse(R"([
        {"number": 1, "chords": [{"name": "C", "beats": 4, "held": false}], "simile": false, "opens_repeat": true, "closes_repeat": 0},
        {"number": 2, "chords": [{"name": "C", "beats": 2, "held": true}, {"name": "Am", "beats": 2, "held": false}],
         "simile": false, "opens_repeat": false, "closes_repeat": 3},
        {"number": 3, "chords": [{"name": "C", "beats": 2, "held": true}, {"name": "Am", "beats": 2, "held": false}],
         "simile": true, "opens_repeat": false, "closes_repeat": 0}])"));
}

TEST(TypedCharts, AreInTheMeterOfThePartWhereNoneIsSaid)
{
    auto const view = desk_view(lesson_text(R"({"name": "Verse", "meter": "3/4", "bars": "C"})"));
    auto const bars = [&](json const& body) { return json::parse(chart_answer(view, body.dump()).body); };
    EXPECT_EQ(bars({{"bars", "C / /"}, {"part", 0}})["mistakes"].size(), 0U);
    EXPECT_EQ(bars({{"bars", "C / /"}, {"part", 0}, {"meter", "4/4"}})["mistakes"].size(), 1U);
}

// Letters are outlines: nothing that was typed stands in the picture as text.
TEST(TypedCharts, AreDrawnWithoutTheirText)
{
    std::string const picture = typed("<script> | C | G")["picture"];
    EXPECT_THAT(picture, StartsWith("data:image/svg+xml;base64,"));
    EXPECT_EQ(typed("")["picture"], "");
}

TEST(TypedCharts, OfAWholeSongAreAnsweredAtOnce)
{
    std::string bars;
    for (int n = 0; n < 32; ++n)
        bars += n % 3 == 0 ? "|Am7 / G/B / " : n % 3 == 1 ? "|Cmaj9 " : "|F#m7b5 / / B7#9 ";
    auto const view = desk_view(lesson_text(R"({"name": "Verse", "bars": "C"})"));
    std::string const body = json{{"bars", bars}, {"meter", "4/4"}}.dump();
    chart_answer(view, body); // fonts and shapes are looked for once
    double fastest = 1e9;     // others use the machine too
    std::size_t bytes = 0;
    for (int n = 0; n < 9; ++n) {
        auto const begin = std::chrono::steady_clock::now();
        bytes = chart_answer(view, body).body.size();
        std::chrono::duration<double, std::milli> const took = std::chrono::steady_clock::now() - begin;
        fastest = std::min(fastest, took.count());
    }
    fmt::print("a chart of 32 bars is answered in {:.1f} ms, {} kB\n", fastest, bytes / 1000);
    EXPECT_GT(bytes, 1000U);
}

TEST(TypedCharts, BodiesThatAreNoneAreRefused)
{
    auto const view = desk_view(lesson_text(R"({"name": "Verse", "bars": "C"})"));
    for (char const* body : {"", "[]", "{}", R"({"bars": 5, "meter": "4/4"})"})
        EXPECT_EQ(chart_answer(view, body).status, 400) << body;
    EXPECT_EQ(chart_answer(view, R"({"bars": "C", "meter": "four"})").status, 422);
    EXPECT_EQ(chart_answer(view, R"({"bars": "C"})").status, 404);
    EXPECT_EQ(chart_answer(view, R"({"bars": "C", "part": 3})").status, 404);
    EXPECT_EQ(chart_answer(view, json{{"bars", std::string(200'000, 'C')}, {"meter", "4/4"}}.dump()).status, 422);
}

} // namespace
} // namespace tabard::pipeline
