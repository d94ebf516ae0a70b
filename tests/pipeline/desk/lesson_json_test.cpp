#include "pipeline/desk/lesson_json.h"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

using nlohmann::json;

LessonView view_of(std::string text, std::shared_ptr<DrawnLesson const> before = {})
{
    return look_at(
        std::move(text), "/nowhere/lesson.json", FilmHeaders{}, [](OpenedLesson const&) { return Look{}; },
        std::move(before));
}

json seen(LessonView const& view) { return json::parse(lesson_json(view, film_state(view.film))); }

// At 120 beats a minute a beat lasts half a second: bar 1 begins at 10, bar 2 at 12, its third beat at 13, bar 3 at 14.
constexpr char const* kLesson = R"({"tabard": 1, "title": "Quay", "footage": "none.mp4", "tempo": 120,
  "made_for": {"duration": "1:00"},
  "shapes": {"Gx": {"frets": "320003"}},
  "strums": {"even": {"steps": "D U D U D U D U"}},
  "sections": [
    {"name": "Talk", "from": "0:02", "show": [{"chord": "C", "from": "0:03"}, {"text": "Hello", "from": "0:04", "to": 5.5}]},
    {"name": "Later", "bars": "Am | Em"},
    {"name": "Verse", "from": "0:10", "count_in": 1, "bars": "C | G Am | Gx", "pins": [["3.1", "0:14"]]}
  ]})";

TEST(LessonForThePage, HasEachChangeAtItsBeat)
{
    json const lesson = seen(view_of(kLesson));
    json const& verse = lesson["parts"][2];
    EXPECT_EQ(verse["changes"], json::parse(R"([
        {"from": 10, "to": 12, "chord": "C", "bar": 1, "beat": 1},
        {"from": 12, "to": 13, "chord": "G", "bar": 2, "beat": 1},
        {"from": 13, "to": 14, "chord": "Am", "bar": 2, "beat": 3},
        {"from": 14, "to": 16, "chord": "Gx", "bar": 3, "beat": 1}])"));
    EXPECT_EQ(verse["from"], 10);
    EXPECT_EQ(verse["to"], 16);
    EXPECT_EQ(verse["shown_from"], 8); // one bar is counted in
    EXPECT_EQ(verse["bars_from"], 10);
    EXPECT_EQ(verse["bars_to"], 16);
    EXPECT_EQ(verse["pins"], json::parse(R"([{"index": 0, "bar": "3.1", "time": 14}])"));
    EXPECT_EQ(verse["strum"], "even"); // the only one of the lesson
    EXPECT_EQ(verse["tempo"], 120);
    EXPECT_EQ(verse["meter"], "4/4");
    EXPECT_EQ(lesson["parts"][0]["show"][0]["ends"], false); // until the next chord
    EXPECT_EQ(lesson["parts"][0]["show"][1]["ends"], true);
}

} // namespace
} // namespace tabard::pipeline
