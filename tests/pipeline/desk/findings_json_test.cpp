#include "pipeline/cues/writer.h"
#include "pipeline/desk/desk.h"
#include "pipeline/desk/view/findings_json.h"
#include "pipeline/desk/view/lesson_view.h"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

using json = nlohmann::ordered_json;

LessonView view_of(std::string text)
{
    return look_at(std::move(text), "/nowhere/lesson.json", FilmHeaders{}, [](OpenedLesson const&) { return Look{}; });
}

json finding(LessonView const& view, std::string const& code)
{
    for (json const& one : findings_json(view.found.findings, view.file.document))
        if (one["code"] == code)
            return one;
    ADD_FAILURE() << "no finding " << code;
    return {};
}

/// A lesson in which the part 1 has `members`.
std::string lesson(std::string const& members, std::string const& top = "")
{
    return R"({"tabard": 1, "title": "Quay", "footage": "none.mp4", "tempo": 100, "made_for": {"duration": "1:00"},)" +
           top + R"("strums": {"waves": {"steps": "D U D U D U D U"}, "rowing": {"steps": "D D D D"}},
  "sections": [
    {"name": "Talk", "from": "0:02", "show": [{"chord": "Am", "from": "0:03"}]},
    {"name": "Verse", "from": "0:10", )" +
           members + R"(, "bars": "Am | F"}
  ]})";
}

TEST(FindingForThePage, LeadsToItsPlaceAndItsPart)
{
    auto const view =
        view_of(R"({"tabard": 1, "title": "Quay", "footage": "none.mp4", "tempo": 100, "made_for": {"duration": "1:00"},
  "sections": [
    {"name": "Talk", "from": "0:02", "show": [{"chord": "Am", "from": "0:03"}, {"text": "b", "from": "0:0x"}]},
    {"name": "Verse", "from": "0:10", "bars": "Am | F", "pins": [["1.1", "0:10"], ["2.9", "0:12"]]},
    {"name": "Chorus", "from": "0:30", "bars": ["Am | F", "Am | Xyz"]}
  ]})");
    json const time = finding(view, "bad-time");
    EXPECT_EQ(time["path"], json::parse(R"(["sections", 0, "show", 1, "from"])"));
    EXPECT_EQ(time["part"], 0);
    json const pin = finding(view, "bad-pin");
    EXPECT_EQ(pin["path"], json::parse(R"(["sections", 1, "pins", 1, 0])"));
    EXPECT_EQ(pin["part"], 1);
    json const chord = finding(view, "unknown-chord");
    EXPECT_EQ(chord["path"], json::parse(R"(["sections", 2, "bars", 1])"));
    EXPECT_EQ(chord["part"], 2);
    EXPECT_EQ(chord["line"], 5);
    // Bar 4 begins 3 * 4 beats of 0.6 s after 30 s.
    EXPECT_EQ(chord["time"], 37.2);
    json const film = finding(view, "no-footage");
    EXPECT_EQ(film["path"], json::parse(R"(["footage"])"));
    EXPECT_TRUE(film["part"].is_null());
    EXPECT_TRUE(film["time"].is_null());
}

struct Certain {
    char const* code;
    std::string text;
    char const* words;
};

TEST(FindingForThePage, IsGoneOnceItsRepairIsCarriedOut)
{
    std::vector<Certain> const rows{
        {"unknown-key", lesson(R"("tempoo": 90)"), "Write \"tempo\""},
        {"unknown-key", lesson(R"("Count-In": 1)"), "Write \"count_in\""},
        {"missing-key",
         R"({"tabard": 1, "title": "Q", "footage": "n.mp4", "sections": [{"name": "A", "start": "0:02"}]})",
         "Write \"from\""},
        {"unknown-strum", lesson(R"("strum": "wavez")"), "Write \"waves\""},
        {"bad-value", lesson(R"("meter": "4:4")"), "Write \"4/4\""},
        {"bad-value", lesson(R"("placement": "top-lefft")"), "Write \"top-left\""},
        {"bad-time", lesson(R"("to": "0:12,5")"), "Write \"0:12.5\""},
        {"wrong-type", lesson(R"("tempo": "90 bpm")"), "Write 90"},
        {"stale-accept", lesson(R"("text": "x")", R"("accept": [{"code": "stretch", "reason": "so"}],)"),
         "Delete this acceptance"},
        {"stale-accept", lesson(R"("text": "x")", R"("accept": [{"code": "strech", "reason": "so"}],)"),
         "Write \"stretch\""},
    };
    for (Certain const& row : rows) {
        SCOPED_TRACE(row.text);
        auto const view = view_of(row.text);
        json const found = finding(view, row.code);
        ASSERT_EQ(found["repairs"].size(), 1U) << found;
        EXPECT_EQ(found["repairs"][0]["words"], row.words);
        auto const edits = parse_document(found["repairs"][0]["edits"].dump());
        ASSERT_TRUE(edits);
        JsonValue document = view.file.document;
        auto const done = apply_edits(document, *edits);
        ASSERT_TRUE(done) << done.error().what;
        auto const after = view_of(document_text(document, view.file.text));
        EXPECT_EQ(std::ranges::count_if(after.found.findings,
                                        [&](FoldedFinding const& one) {
                                            return one.finding.code == row.code &&
                                                   one.finding.what == found["what"].get<std::string>();
                                        }),
                  0);
    }
}

TEST(FindingForThePage, OffersNoRepairWhereItIsNotCertain)
{
    std::string const twice = R"("tempo": 90, "tempoo": 80)"; // which one is meant?
    for (auto const& [code, text] :
         {std::pair{"unknown-key", lesson(twice)},
          {"unknown-key", lesson(R"("colour": "red")")},
          {"unknown-chord", lesson(R"("text": "x", "show": [{"chord": "Xyz", "from": 11}])")},
          {"duplicate-key", lesson(R"("tempo": 90, "tempo": 80)")},
          {"bad-value", lesson(R"("tempo": 5000)")}}) {
        SCOPED_TRACE(text);
        EXPECT_EQ(finding(view_of(text), code)["repairs"], json::array());
    }
}

TEST(FindingForThePage, PlacesTheCardsWhereCheckWouldPlaceThem)
{
    auto const view = view_of(lesson(R"("placement": "top-left")"));
    SourcePosition const part = view.file.document.find("sections")->items[1].at;
    // As in_the_way.cpp words it.
    Finding found{Severity::warning,
                  "covers-face",
                  part,
                  Time{0},
                  "the overlays hide a face",
                  "write \"placement\": \"bottom-right\" in this part (tabard check --place lesson.json does): there "
                  "nothing is in the way"};
    json const own = findings_json({{found, 0, "Verse"}}, view.file.document)[0];
    EXPECT_EQ(own["repairs"][0]["edits"],
              json::parse(R"([{"path": ["sections", 1, "placement"], "value": "bottom-right"}])"));
    found.fix.replace(found.fix.find("this part"), 9, "the cue file");
    json const of_all = findings_json({{found, 0, "Verse"}}, view.file.document)[0];
    EXPECT_EQ(of_all["repairs"][0]["edits"], json::parse(R"([{"path": ["placement"], "value": "bottom-right"}])"));
}

} // namespace
} // namespace tabard::pipeline
