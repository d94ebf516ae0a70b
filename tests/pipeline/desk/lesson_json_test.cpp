#include "pipeline/desk/view/lesson_json.h"

#include <set>

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
    EXPECT_EQ(verse["pins"], json::parse(R"([{"index": 0, "bar": "3.1", "time": 14, "goes_on": null}])"));
    EXPECT_EQ(verse["strum"], "even"); // the only one of the lesson
    EXPECT_EQ(verse["tempo"], 120);
    EXPECT_EQ(verse["meter"], "4/4");
    EXPECT_EQ(lesson["parts"][0]["show"][0]["ends"], false); // until the next chord
    EXPECT_EQ(lesson["parts"][0]["show"][1]["ends"], true);
}

// Bars 1 and 2 from 10 to 14, a pause to 20, bar 4 from 20 to 22.
TEST(LessonForThePage, SaysWhereThePlayingGoesOnAfterAPause)
{
    json const lesson = seen(view_of(R"({"tabard": 1, "title": "Quay", "footage": "none.mp4", "tempo": 120,
  "sections": [{"name": "Verse", "bars": "C | G | Am | F", "pins": [["1.1", "0:10"], ["3.1 to 4.1", "0:14 to 0:20"]]}]})"));
    json const& verse = lesson["parts"][0];
    EXPECT_EQ(verse["pins"][1],
              json::parse(R"({"index": 1, "bar": "3.1", "time": 14, "goes_on": {"bar": "4.1", "time": 20}})"));
    EXPECT_EQ(verse["changes"][2], json::parse(R"({"from": 14, "to": 22, "chord": "F", "bar": 4, "beat": 1})"))
        << "seen from where the playing stops";
}

TEST(LessonForThePage, HasCuesOfATalkUntilTheyLeaveTheScreen)
{
    json const lesson = seen(view_of(kLesson));
    // A chord stays until the next one, here until the part ends where the next begins.
    EXPECT_EQ(lesson["parts"][0]["show"], json::parse(R"([
        {"index": 0, "kind": "chord", "value": "C", "from": 3, "to": 10, "ends": false},
        {"index": 1, "kind": "text", "value": "Hello", "from": 4, "to": 5.5, "ends": true}])"));
    EXPECT_EQ(lesson["parts"][0]["to"], 10);
}

TEST(LessonForThePage, GivesAPartWithoutATimeNoneAndShowsNothingOfIt)
{
    auto const view = view_of(kLesson);
    json const part = seen(view)["parts"][1];
    for (char const* const time : {"from", "to", "shown_from", "bars_from", "bars_to"})
        EXPECT_TRUE(part[time].is_null()) << time;
    EXPECT_EQ(part["changes"], json::array());
    EXPECT_EQ(part["written"]["bars"], "Am | Em");
    ASSERT_TRUE(view.drawn);
    Timeline const& timeline = view.drawn->opened.timeline;
    std::set<std::string> titles;
    for (Time const instant : timeline.change_instants())
        for (overlay::Layer const& layer : timeline.scene_at(instant).layers) {
            auto const* const banner = std::get_if<overlay::SectionBanner>(&layer.content);
            titles.insert(banner ? banner->title : "Talk");
        }
    EXPECT_EQ(titles, (std::set<std::string>{"Talk", "Verse"}));
}

TEST(LessonForThePage, HasTheShapeOfEachChordAndWhoseItIs)
{
    json const lesson = seen(view_of(kLesson));
    EXPECT_EQ(lesson["shapes"][0],
              json::parse(R"({"name": "Gx", "level": null, "frets": "320003", "fingers": "21---3", "own": true})"));
    std::vector<std::string> names;
    for (json const& shape : lesson["shapes"]) {
        names.push_back(shape["name"]);
        EXPECT_FALSE(shape["frets"].get<std::string>().empty());
        EXPECT_EQ(shape["own"], shape["name"] == "Gx");
    }
    EXPECT_EQ(names, (std::vector<std::string>{"Gx", "C", "Am", "Em", "G"}));
    EXPECT_EQ(lesson["strums"][0]["name"], "even");
    EXPECT_EQ(lesson["strums"][0]["steps"], "D U D U D U D U");
}

TEST(LessonForThePage, SaysWhatIsWrittenAsItIsWritten)
{
    json const lesson = seen(view_of(R"({"tabard": 1, "title": "Q", "footage": "f.mp4", "capo": 2, "left_handed": true,
        "sections": [{"name": "A", "from": 12.5, "to": "0:20", "tempo": 76.5, "bars": ["C | G", "Am"]}]})"));
    EXPECT_EQ(lesson["lesson"]["capo"], 2);
    EXPECT_EQ(lesson["lesson"]["left_handed"], true);
    EXPECT_TRUE(lesson["lesson"]["key"].is_null());
    json const& written = lesson["parts"][0]["written"];
    EXPECT_EQ(written["from"], 12.5);
    EXPECT_EQ(written["to"], "0:20");
    EXPECT_EQ(written["tempo"], 76.5);
    EXPECT_EQ(written["bars"], "C | G\nAm"); // a line a text
    EXPECT_TRUE(written["strum"].is_null());
}

TEST(LessonForThePage, KeepsNamesThatLookLikeMarkup)
{
    std::string const name = R"(<b onclick=\"x\">\t\\ 'q' </script>)";
    json const lesson = seen(view_of(R"({"tabard": 1, "title": ")" + name + R"(", "footage": "f.mp4",
        "sections": [{"name": ")" + name +
                                     R"(", "from": 1}]})"));
    EXPECT_EQ(lesson["title"], "<b onclick=\"x\">\t\\ 'q' </script>");
    ASSERT_EQ(lesson["parts"].size(), 1U);
    EXPECT_EQ(lesson["parts"][0]["name"], lesson["title"]);
}

TEST(LessonForThePage, IsJsonWhateverBytesNamesHave)
{
    auto const text = std::string(R"({"tabard": 1, "title": "a)") + "\xff\xfe" + R"("})";
    auto const view =
        look_at(text, "/nowhere/les\xffon.json", FilmHeaders{}, [](OpenedLesson const&) { return Look{}; });
    json const lesson = seen(view);
    EXPECT_EQ(lesson["name"], "les\ufffdon.json");
    EXPECT_NE(lesson["broken"], "");
}

TEST(LessonForThePage, StaysWithWhatWasDrawnWhileTheFileIsBroken)
{
    auto const before = view_of(kLesson);
    auto const no_json = view_of("{\"tabard\": 1, ", before.drawn);
    json const broken = seen(no_json);
    EXPECT_NE(broken["broken"], "");
    EXPECT_EQ(broken["drawn"], before.digest);
    EXPECT_EQ(broken["digest"], no_json.digest);
    EXPECT_EQ(broken["parts"], json::array());
    EXPECT_EQ(broken["film"]["name"], "none.mp4");
    ASSERT_FALSE(broken["findings"].empty());
    EXPECT_EQ(broken["findings"][0]["code"], "not-json");

    std::string text = kLesson;
    text.replace(text.find("\"0:10\""), 6, "\"0:99\"");
    json const bad_time = seen(view_of(text, before.drawn));
    EXPECT_NE(bad_time["broken"], "");
    EXPECT_EQ(bad_time["parts"].size(), 3U);
    EXPECT_EQ(bad_time["parts"][0]["from"], 2); // what was understood keeps its times
    EXPECT_EQ(bad_time["parts"][2]["name"], "Verse");
}

TEST(LessonForThePage, AnswersForEveryKindOfFile)
{
    for (char const* const text : {"", "[]", "{}", "null", "{\"sections\": 3}", "{\"sections\": [3, {}, null]}",
                                   "{\"tabard\": 1, \"sections\": []}", "\xef\xbb\xbf{\"tabard\": 1}",
                                   "{\"sections\": [{\"name\": 3, \"pins\": 3, \"show\": {\"a\": 1}, \"bars\": [1]}]}",
                                   "{\"tempo\": 1e999, \"sections\": [{\"name\": \"A\", \"from\": -1e999}]}"}) {
        SCOPED_TRACE(text);
        json const lesson = seen(view_of(text));
        EXPECT_NE(lesson["broken"], "");
        EXPECT_FALSE(lesson["findings"].empty());
    }
}

TEST(LessonForThePage, TakesAsManyCuesAsAFileMayHave)
{
    std::string cues;
    for (int i = 0; i < kMostCues - 10; ++i)
        cues += (i == 0 ? "" : ",") + std::string("{\"text\":\"a\",\"from\":") + std::to_string(i / 10.0) + "}";
    auto const view = view_of(R"({"tabard": 1, "title": "Q", "footage": "f.mp4", "made_for": {"duration": "2:00:00"},
        "sections": [{"name": "A", "from": 0, "show": [)" +
                              cues + "]}]}");
    json const lesson = seen(view);
    ASSERT_EQ(lesson["parts"][0]["show"].size(), static_cast<std::size_t>(kMostCues - 10));
    EXPECT_EQ(lesson["parts"][0]["show"][49'000]["from"], 4900);
    EXPECT_EQ(lesson["parts"][0]["show"][49'000]["to"], 4900.1);
}

} // namespace
} // namespace tabard::pipeline
