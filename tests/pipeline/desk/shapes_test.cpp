#include "overlay/music/shapes/shape_search.h"
#include "pipeline/cues/writer.h"
#include "pipeline/desk/desk.h"
#include "pipeline/desk/music/shape_answers.h"
#include "tests/pipeline/desk/lesson_text.h"

#include <algorithm>
#include <cstdint>
#include <map>
#include <string>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

using nlohmann::json;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

std::string song(std::string const& bars, std::string const& more = "")
{
    return lesson_text(fmt::format(R"({{"name": "Verse", "from": "0:10", "tempo": 100, "bars": "{}"}})", bars), more);
}

Request asking(std::map<std::string, std::string> query) { return {"", "", std::move(query), ""}; }

json shapes(std::string const& text, std::string const& chord)
{
    auto const answer = shapes_answer(desk_view(text), asking({{"chord", chord}, {"part", "0"}}));
    EXPECT_EQ(answer.status, 200) << answer.body;
    return json::parse(answer.body);
}

json verdict(std::string const& chord, std::string const& frets, std::string const& fingers = "",
             std::string const& text = song("C | G"))
{
    auto const answer = verdict_answer(
        desk_view(text), asking({{"chord", chord}, {"frets", frets}, {"fingers", fingers}, {"part", "0"}}));
    EXPECT_EQ(answer.status, 200) << answer.body;
    return json::parse(answer.body);
}

/// "shapes" of the file with edits as the page would send them.
json after(std::string const& text, json const& edits)
{
    LessonView const view = desk_view(text);
    JsonValue document = view.file.document;
    auto const done = apply_edits(document, *parse_document(edits.dump()));
    EXPECT_TRUE(done) << done.error().what;
    return json::parse(document_text(document, text))["shapes"];
}

TEST(ShapesOfAChord, AreThoseOfTheSearchInItsOrder)
{
    for (char const* const name : {"C", "F#m7b5", "Bb13", "D/F#"}) {
        auto const choices = shapes(song(name), name)["choices"];
        auto const found = overlay::find_shapes(*overlay::ChordName::parse(name), overlay::Tuning{}, 12);
        ASSERT_GE(choices.size(), std::min<std::size_t>(found.size(), 12));
        EXPECT_LE(choices.size(), 12U);
        std::vector<std::string> searched, given;
        for (auto const& each : found)
            searched.push_back(each.shape.frets_text());
        for (auto const& each : choices)
            given.push_back(each["frets"]);
        EXPECT_EQ(choices[0]["used"], true);
        std::erase(searched, given[0]);
        given.erase(given.begin());
        searched.resize(std::min(searched.size(), given.size()));
        EXPECT_EQ(given, searched) << name;
    }
}

TEST(ShapesOfAChord, CountFromTheCapoInTheTuningOfTheLesson)
{
    // DADGAD: D is all open, as its name says.
    EXPECT_EQ(shapes(song("D5", R"("tuning": "D2 A2 D3 G3 A3 D4", "capo": 2,)"), "D5")["choices"][0]["frets"]
                  .get<std::string>()
                  .size(),
              6U);
    // A ukulele's C is 0003.
    EXPECT_EQ(shapes(song("C", R"("instrument": "ukulele",)"), "C")["choices"][0]["frets"], "0003");
}

// C x32010 has finger 1 on string 2, fret 1 and 2 on string 4, fret 2; Am x02210 has both there as well.
TEST(ShapesOfAChord, SayWhichFingersStay)
{
    auto const am = shapes(song("C | Am"), "Am")["choices"][0];
    EXPECT_EQ(am["frets"], "x02210");
    EXPECT_THAT(am["words"], Contains("2 fingers stay from C"));
    EXPECT_EQ(am["stays"], json::array({"C"}));
    EXPECT_THAT(shapes(song("C | Am"), "C")["choices"][0]["words"], Contains("2 fingers stay to Am"));
    EXPECT_THAT(shapes(song("C | Am | C"), "Am")["choices"][0]["words"], Contains("2 fingers stay from and to C"));
}

// C over A has A, C, E and G: those of Am7.
TEST(ShapesOfAChord, SayWhatElseTheyAre)
{
    auto const choices = shapes(song("Am7"), "Am7")["choices"];
    EXPECT_EQ(choices[0]["frets"], "x02010");
    EXPECT_THAT(choices[0]["words"], Contains("sounds also as C/A"));
    EXPECT_THAT(choices[0]["words"], Contains("open position"));
}

TEST(ShapesOfAChord, NamesThatAreNoneSayWhy)
{
    auto const answer = shapes(song("C"), "Xyz");
    EXPECT_EQ(answer["names"], false);
    EXPECT_THAT(answer["what"], HasSubstr("Xyz"));
    EXPECT_THAT(answer["choices"], IsEmpty());
    auto const own = shapes(song("easy", R"("shapes": {"easy": "x32010"},)"), "easy");
    EXPECT_EQ(own["choices"][0]["frets"], "x32010");
    EXPECT_THAT(own["choices"][0]["words"], Contains("yours"));
    EXPECT_EQ(shapes_answer(desk_view(song("C")), asking({})).status, 400);
}

struct Written {
    std::string before; ///< "shapes" of the file
    std::string then;   ///< after x02210 with the usual fingers was taken for Am
};
class TakenShape : public testing::TestWithParam<Written> {};

TEST_P(TakenShape, IsWrittenWhereTheAuthorHasIt)
{
    auto const text = song("C | Am", GetParam().before);
    json const choices = shapes(text, "Am")["choices"]; // outlives the search in it
    auto const usual = std::ranges::find_if(choices, [](json const& choice) { return choice["frets"] == "x02210"; });
    ASSERT_NE(usual, choices.end());
    EXPECT_THAT(after(text, (*usual)["edits"]), json::parse(GetParam().then));
    EXPECT_THAT(after(text, verdict("Am", "x02210", "", text)["edits"]), json::parse(GetParam().then));
}

INSTANTIATE_TEST_SUITE_P(Files, TakenShape,
                         testing::Values(Written{"", R"({"Am": "x02210"})"},
                                         Written{R"("shapes": {"Am": "577555"},)", R"({"Am": "x02210"})"},
                                         Written{R"("shapes": {"Am": {"frets": "577555", "note": "high"}},)",
                                                 R"({"Am": {"frets": "x02210", "note": "high", "fingers": "--231-"}})"},
                                         Written{R"("shapes": {"Am": {"easy": "xx2210", "full": "577555"}},)",
                                                 R"({"Am": {"easy": "xx2210", "full": "x02210"}})"},
                                         Written{R"("shapes": {"Am": {"easy": "xx2210"}},)",
                                                 R"({"Am": {"easy": "xx2210", "full": "x02210"}})"}));

TEST(AShapeOfOnesOwn, IsFineWhereItMakesTheChord)
{
    auto const c = verdict("C", "x32010");
    EXPECT_EQ(c["fine"], true);
    EXPECT_THAT(c["what"], IsEmpty());
    EXPECT_EQ(c["fingers"], "-32-1-");
    EXPECT_EQ(c["names"][0], "C");
}

TEST(AShapeOfOnesOwn, SaysForeignAndMissingNotes)
{
    auto const d = verdict("C", "x32030"); // string 2 at fret 3 is D
    EXPECT_EQ(d["fine"], false);
    EXPECT_THAT(d["what"], Contains(HasSubstr("D on string 2, fret 3, is not in C")));
    EXPECT_EQ(d["names"][0], "Cadd9");
    auto const no_third = verdict("C", "x3x01x");
    EXPECT_EQ(no_third["fine"], false);
    EXPECT_THAT(no_third["what"], Contains(HasSubstr("third")));
}

// From fret 1 to fret 6 of a 648 mm scale: 648 / 2^(1/12) - 648 / 2^(6/12) = 153.4 mm.
TEST(AShapeOfOnesOwn, SaysWhatNoHandReaches)
{
    auto const wide = verdict("F", "1xxx16");
    EXPECT_EQ(wide["fine"], false);
    EXPECT_THAT(wide["what"], Contains("it spans 153 mm, wider than a hand"));
    EXPECT_THAT(verdict("C", "x32010", "-32-11")["what"], Contains(HasSubstr("finger 1")));
    EXPECT_EQ(verdict("C", "xxxxxx")["fine"], false);
    EXPECT_THAT(verdict("C", "xxxxxx")["what"], Contains("no string sounds"));
}

TEST(AShapeOfOnesOwn, SaysWhichFingersStay)
{
    EXPECT_THAT(verdict("Am", "x02210", "", song("C | Am"))["what"], ElementsAre("2 fingers stay from C"));
}

TEST(AShapeOfOnesOwn, ThatCannotBeReadIsRefused)
{
    auto const view = desk_view(song("C"));
    for (char const* const frets : {"", "3201", "x3201z", "x320100"})
        EXPECT_EQ(verdict_answer(view, asking({{"chord", "C"}, {"frets", frets}})).status, 422) << frets;
    EXPECT_EQ(verdict_answer(view, asking({{"chord", "C"}, {"frets", "x32010"}, {"fingers", "123"}})).status, 422);
}

// A PNG's width and height follow its signature and the name of its first chunk (ISO/IEC 15948, 11.2.2).
std::pair<int, int> png_size(std::string const& png)
{
    auto const number = [&](std::size_t at) {
        int value = 0;
        for (std::size_t n = 0; n < 4; ++n)
            value = value * 256 + static_cast<unsigned char>(png.at(at + n));
        return value;
    };
    return {number(16), number(20)};
}

TEST(Diagram, IsAPictureOfOneShape)
{
    auto const draw = [](std::string const& more, std::string const& frets) {
        return diagram_answer(desk_view(song("C", more)), asking({{"frets", frets}, {"name", "C"}}));
    };
    auto const right = draw("", "x32010");
    EXPECT_EQ(right.type, "image/png");
    EXPECT_EQ(png_size(right.body).first, 404); // 170 points and two margins of 16, two pixels each
    EXPECT_NE(draw(R"("left_handed": true,)", "x32010").body, right.body);
    EXPECT_NE(draw(R"("capo": 3,)", "x32010").body, right.body);
    EXPECT_EQ(draw("", "nothing").status, 422);
    EXPECT_EQ(draw("", "").status, 422);
}

} // namespace
} // namespace tabard::pipeline
