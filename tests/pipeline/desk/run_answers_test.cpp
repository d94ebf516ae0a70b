// What the page asks for, to the file that the program itself made.
#include "overlay/drawing/theme.h"
#include "pipeline/cues/writer.h"
#include "pipeline/desk/runs/run_answers.h"
#include "pipeline/desk/view/view_answers.h"
#include "tests/support/footage.h"
#include "tests/support/paths.h"
#include "tests/support/pictures.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <memory>
#include <string>
#include <thread>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;
using testing::AllOf;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;
using tests::read_text;
using tests::write_text;

/// A desk with a lesson of four seconds.
class DeskRuns : public testing::Test {
protected:
    DeskRuns()
    {
        setenv("XDG_CACHE_HOME", (m_folder / "cache").c_str(), 1);
        fs::create_directories(folder());
        fs::create_directories(m_folder / "state");
        tests::make_footage(
            folder() / "in.mp4", "testsrc2=s=320x180:r=25:d=4",
            {"-f", "lavfi", "-i", "sine=d=4", "-pix_fmt", "yuv420p", "-preset", "ultrafast", "-g", "25"});
        write_text(folder() / "lesson.json", R"({"tabard": 1, "title": "Lantern on the Quay", "footage": "in.mp4",
 "key": "C", "sections": [
  {"name": "Verse", "from": "0:00", "to": "0:02", "show": [{"chord": "C", "from": "0:00"}]},
  {"name": "Chorus", "from": "0:02", "to": "0:04", "show": [{"chord": "G", "from": "0:02"}]}]})");
    }
    ~DeskRuns() override { unsetenv("XDG_CACHE_HOME"); }

    fs::path folder() const { return m_folder / "lessons"; }

    void open(std::string const& lesson = "lesson.json")
    {
        m_routes = {};
        m_desk.reset(); // a state folder has one desk
        auto desk =
            Desk::open({folder() / lesson, m_folder / "state", TABARD_PROGRAM, [](OpenedLesson const&) -> Result<Look> {
                            return Look{overlay::default_theme(), {}};
                        }});
        ASSERT_TRUE(desk) << desk.error().what;
        m_desk = std::move(*desk);
        add_run_answers(m_routes, *m_desk);
    }

    Answer post(std::string const& path, Json const& body)
    {
        return m_routes.post.at(path)({path, "", {}, body.is_string() ? body.get<std::string>() : body.dump()});
    }
    Answer get(std::string const& path, std::map<std::string, std::string> query = {})
    {
        return m_routes.get.at(path)({path, "", std::move(query), ""});
    }

    /// The run once it has ended.
    Json run(Json const& body, std::string const& path = "runs")
    {
        Answer const begun = post(path, body);
        EXPECT_EQ(begun.status, 200) << begun.body;
        if (begun.status != 200)
            return {};
        std::string const id = Json::parse(begun.body).at("id");
        for (int tenths = 0; tenths < 3000; ++tenths) {
            for (Json const& one : Json::parse(get("runs").body))
                if (one.at("id") == id && one.at("state") != "running")
                    return one;
            std::this_thread::sleep_for(std::chrono::milliseconds{20});
        }
        ADD_FAILURE() << "it did not end";
        return {};
    }

    std::vector<std::string> files() const
    {
        std::vector<std::string> names;
        for (auto const& entry : fs::directory_iterator(folder()))
            names.push_back(entry.path().filename());
        std::ranges::sort(names);
        return names;
    }

    tests::TemporaryFolder m_folder;
    std::unique_ptr<Desk> m_desk;
    Routes m_routes; ///< go before the desk
};

TEST_F(DeskRuns, MakeWhatTheCommandThatIsShownMakes)
{
    open();
    Json const film = run({{"kind", "render"}});
    EXPECT_EQ(film["state"], "done") << film;
    EXPECT_EQ(film["command"], "tabard render lesson.json -o 'lesson with chords.mp4'");
    EXPECT_EQ(film["made"], Json({"lesson with chords.mp4"}));
    ASSERT_EQ(tests::run_program({"sh", "-c",
                                  fmt::format("cd '{}' && '{}' render lesson.json --no-cache -o again.mp4",
                                              folder().string(), TABARD_PROGRAM)})
                  .exit,
              0);
    EXPECT_TRUE(read_text(folder() / "lesson with chords.mp4") == read_text(folder() / "again.mp4"));

    EXPECT_EQ(run({{"kind", "sheet"}, {"paper", "letter"}})["made"], Json({"lesson sheet.pdf"}));
    EXPECT_EQ(run({{"kind", "track"}, {"name", "track.mov"}})["made"], Json({"track.mov"}));
    EXPECT_EQ(run({{"kind", "switchable"}})["made"], Json({"lesson with chords.mkv"}));
    Json const part = run({{"kind", "render"}, {"draft", true}, {"from", 1.0}, {"to", 3.0}, {"name", "Part.MP4"}});
    EXPECT_EQ(part["command"], "tabard render lesson.json --draft --from 0:01.000 --to 0:03.000 -o Part.MP4");
    EXPECT_EQ(tests::ffprobe_rows(folder() / "Part.MP4", "packet=pts_time").size(), 50u); // two seconds of 25
    Json const published = run({{"kind", "publish"}, {"name", "beside"}});
    EXPECT_THAT(published["made"].get<std::vector<std::string>>(), testing::Contains("chapters.vtt"));
    Answer const chapters = get("made", {{"id", published["id"]}, {"name", "chapters.vtt"}, {"download", "1"}});
    EXPECT_EQ(chapters.file, folder() / "beside/chapters.vtt");
    EXPECT_THAT(chapters.headers, testing::Contains(testing::Pair("Content-Disposition", HasSubstr("chapters.vtt"))));
}

TEST_F(DeskRuns, ReplaceOnlyWhatTheyWereToldToReplace)
{
    write_text(folder() / "mine.pdf", "mine");
    open();
    Answer const asked = post("runs", {{"kind", "sheet"}, {"name", "mine.pdf"}});
    EXPECT_EQ(asked.status, 409);
    EXPECT_EQ(Json::parse(asked.body)["exists"], "mine.pdf");
    EXPECT_EQ(read_text(folder() / "mine.pdf"), "mine");
    EXPECT_EQ(run({{"kind", "sheet"}, {"name", "mine.pdf"}, {"force", true}})["state"], "done");
    EXPECT_THAT(read_text(folder() / "mine.pdf"), testing::StartsWith("%PDF-")); // ISO 32000-1, 7.5.2
}

// Only names, and only of what a command makes: nothing outside the folder, and nothing that the lesson is made of.
TEST_F(DeskRuns, RefuseEveryNameThatLeadsElsewhere)
{
    fs::create_symlink("in.mp4", folder() / "link.mp4");
    fs::create_symlink("../elsewhere.mp4", folder() / "outside.mp4");
    fs::create_directory_symlink("..", folder() / "up");
    fs::create_hard_link(folder() / "in.mp4", folder() / "same.mp4");
    fs::create_directory(folder() / "folder.mp4");
    open();
    auto const before = files();
    std::string const footage = read_text(folder() / "in.mp4");
    std::string const lesson = read_text(folder() / "lesson.json");
    for (std::string const& name : {std::string{"../x.mp4"},   folder().string() + "/x.mp4",
                                    std::string{"-x.mp4"},     std::string{"--draft.mp4"},
                                    std::string{".x.mp4"},     std::string{"a\nb.mp4"},
                                    std::string{"a\tb.mp4"},   std::string{"a\\b.mp4"},
                                    std::string{"in.mp4"},     std::string{"link.mp4"},
                                    std::string{"same.mp4"},   std::string{"outside.mp4"},
                                    std::string{"folder.mp4"}, std::string{"lesson.json"},
                                    std::string{"x.json"},     std::string{"x"},
                                    std::string{".mp4"},       std::string{"x.mp4 "},
                                    std::string{" x.mp4"},     std::string{"x.mp4/"},
                                    std::string{"up/x.mp4"},   std::string(300, 'x') + ".mp4",
                                    std::string{"x\0.mp4", 6}, std::string{"x\u202e4pm.exe"},
                                    std::string{"x\u0085.mp4"}})
        for (bool const force : {false, true}) {
            SCOPED_TRACE(name);
            Json const body{{"kind", "render"}, {"name", name}, {"force", force}};
            Answer const answer = post("runs", body);
            EXPECT_EQ(answer.status, 422) << answer.body;
        }
    for (char const* const name : {"up", "..", ".", "-f", "in.mp4", "lesson.json", "a/b"})
        EXPECT_EQ(post("runs", {{"kind", "publish"}, {"name", name}, {"force", true}}).status, 422) << name;
    for (char const* const name : {"../lesson.json", "/etc/passwd", "nothing.mp4", "", "-x", "up/x"})
        EXPECT_NE(post("cut", {{"name", name}}).status, 200) << name;
    for (char const* const name : {"../x.edl", "x.json", "-x.edl", ".edl", "x"})
        EXPECT_EQ(post("cut", {{"name", name}, {"text", "from,to\n0,1\n"}}).status, 422) << name;
    EXPECT_EQ(Json::parse(get("runs").body).size(), 0u);
    EXPECT_EQ(files(), before);
    EXPECT_TRUE(read_text(folder() / "in.mp4") == footage);
    EXPECT_EQ(read_text(folder() / "lesson.json"), lesson);
    EXPECT_FALSE(fs::exists(m_folder / "elsewhere.mp4"));
}

// Names that shells, options and file systems have something against.
TEST_F(DeskRuns, ALessonOfAnyNameHasUsualNamesForWhatIsMadeOfIt)
{
    std::string const text = read_text(folder() / "lesson.json");
    std::string const longest = std::string(122, 'x') + "\xc3\xa4" + std::string(122, 'y') + ".json"; // 251 bytes
    for (std::string const& name :
         {std::string{"-it's a $(lesson).json"}, std::string{"--force.json"}, std::string{"..json"},
          std::string{"back\\slash.json"}, std::string{"a\nb.json"}, std::string{"no utf\xff.json"}, longest}) {
        SCOPED_TRACE(name);
        write_text(folder() / name, text);
        open(name);
        Json const sheet = run({{"kind", "sheet"}});
        EXPECT_EQ(sheet["state"], "done") << sheet;
        EXPECT_TRUE(fs::exists(folder() / sheet["made"][0].get<std::string>()));
        fs::remove(folder() / sheet["made"][0].get<std::string>());
        EXPECT_EQ(run({{"name", "c.csv"}, {"text", "from,to\n0,1\n3,4\n"}, {"take", true}}, "cut")["state"], "done");
        EXPECT_EQ(read_text(folder() / name), text);
        fs::remove(folder() / name);
        for (auto const& file : files())
            if (file.find("(new cut)") != file.npos)
                fs::remove(folder() / file);
    }
    EXPECT_THAT(files(), ElementsAre("in.mp4", "lesson.json"));
}

TEST_F(DeskRuns, RefuseWhatIsNoRequest)
{
    open();
    for (char const* const body : {"", "[]", "7", "{", "null", "{\"kind\": \"render\", \"name\": \"x\xff.mp4\"}"})
        EXPECT_EQ(post("runs", Json(body)).status, 400) << body;
    for (char const* const body : {"{}", R"({"kind": 7})", R"({"kind": "rm"})", R"({"kind": "render", "name": 7})",
                                   R"({"kind": "render", "draft": "yes"})", R"({"kind": "render", "from": "0"})",
                                   R"({"kind": "render", "from": 3, "to": 2})", R"({"kind": "render", "from": 1e99})",
                                   R"({"kind": "sheet", "paper": "--force"})", R"({"kind": "render", "level": "-o"})",
                                   R"({"kind": "listen", "part": -1})"})
        EXPECT_EQ(post("runs", Json(body)).status, 422) << body;
    EXPECT_EQ(post("cancel", {{"id", "1"}}).status, 404);
    EXPECT_EQ(post("cancel", Json("[]")).status, 404);
}

TEST_F(DeskRuns, GiveOutOnlyWhatTheyMade)
{
    open();
    std::string const id = run({{"kind", "sheet"}, {"name", "s.pdf"}})["id"];
    EXPECT_EQ(get("made", {{"id", id}, {"name", "s.pdf"}}).status, 200);
    for (char const* const name : {"lesson.json", "in.mp4", "../lessons/s.pdf", "/etc/passwd", ""})
        EXPECT_EQ(get("made", {{"id", id}, {"name", name}}).status, 404) << name;
    EXPECT_EQ(get("made", {{"id", "7"}, {"name", "s.pdf"}}).status, 404);
    fs::remove(folder() / "s.pdf");
    EXPECT_EQ(get("made", {{"id", id}, {"name", "s.pdf"}}).status, 404);
    fs::create_symlink("lesson.json", folder() / "s.pdf");
    EXPECT_EQ(get("made", {{"id", id}, {"name", "s.pdf"}}).status, 404);
}

TEST_F(DeskRuns, SayWhyNothingWasMade)
{
    open();
    fs::rename(folder() / "in.mp4", folder() / "away.mp4");
    Json const failed = run({{"kind", "render"}});
    EXPECT_EQ(failed["state"], "failed");
    EXPECT_THAT(failed["what"].get<std::string>(), HasSubstr("in.mp4"));
    EXPECT_THAT(failed["made"], IsEmpty());
    EXPECT_THAT(files(), ElementsAre("away.mp4", "lesson.json"));
}

TEST_F(DeskRuns, NameWhatLiesInTheFolderAndNothingBelowIt)
{
    fs::create_directories(folder() / "below");
    write_text(folder() / "below/other.json", R"({"tabard": 1})");
    write_text(folder() / "second.json", R"({"tabard": 1})");
    write_text(folder() / "package.json", R"({"name": "x"})");
    write_text(folder() / "cut.EDL", "");
    write_text(folder() / "-cut.csv", "");
    write_text(folder() / ".hidden.mp4", "");
    open();
    EXPECT_EQ(Json::parse(get("folder").body),
              Json::parse(R"({"lessons": ["lesson.json", "second.json"], "films": ["in.mp4"], "cuts": ["cut.EDL"]})"));
}

// The kept pieces: 0 to 1 and 3 to 4 of four seconds. The first half of the verse stays, the chorus begins at 1.
TEST_F(DeskRuns, ACutIsATableFirstAndALessonWhenAskedFor)
{
    open();
    Json const cut{{"name", "my cut.csv"}, {"text", "from,to\n0,1\n3,4\n"}};
    Json const looked = run(cut, "cut");
    ASSERT_EQ(looked["state"], "done") << looked;
    EXPECT_THAT(files(), ElementsAre("in.mp4", "lesson.json"));
    Json const& rows = looked["result"]["rows"];
    EXPECT_EQ(rows[0],
              Json::parse(R"({"part": "Verse", "what": "trimmed", "words": "part Verse", "before": 0, "after": 0})"));
    auto const chorus = std::ranges::find_if(rows, [](Json const& row) { return row["words"] == "part Chorus"; });
    ASSERT_NE(chorus, rows.end());
    EXPECT_EQ((*chorus)["before"], 2.0);
    EXPECT_EQ((*chorus)["after"], 1.0);
    EXPECT_EQ(looked["result"]["lesson"], "");

    // Row by row what the command's own report says.
    write_text(folder() / "cut.csv", "from,to\n0,1\n3,4\n");
    ASSERT_EQ(tests::run_program({TABARD_PROGRAM, "retime", folder() / "lesson.json", "--by", folder() / "cut.csv",
                                  "--report", m_folder / "report.json"})
                  .exit,
              0);
    Json const report = Json::parse(read_text(m_folder / "report.json"));
    std::vector<std::string> told, reported;
    for (Json const& cue : report["cues"])
        if (cue["kind"] == "section" || cue["fate"] != "moved")
            reported.push_back(
                fmt::format("{} {}", cue["fate"].get<std::string>(), cue["before"]["from"].get<double>()));
    for (Json const& row : rows)
        told.push_back(fmt::format("{} {}", row["what"].get<std::string>(), row["before"].get<double>()));
    EXPECT_EQ(told, reported);

    Json taken = cut;
    taken["take"] = true;
    Json const made = run(taken, "cut");
    EXPECT_EQ(made["result"]["lesson"], "lesson (new cut).json");
    EXPECT_EQ(made["result"]["rows"], rows);
    EXPECT_EQ(Json::parse(read_text(folder() / "lesson (new cut).json"))["sections"][1]["from"], "0:01");
    EXPECT_EQ(post("cut", taken).status, 409);
    EXPECT_EQ(run({{"name", "cut.csv"}}, "cut")["result"]["rows"], rows); // the same from a file of the folder
    EXPECT_THAT(tests::read_text(folder() / "lesson.json"), HasSubstr("\"0:02\""));
}

// The colours of lavfi: red is ff0000, in the BT.601 of small films.
TEST_F(DeskRuns, ATableOfACutHasPicturesOfTheNewFilmToo)
{
    tests::make_footage(folder() / "new.mp4", "color=red:s=320x180:r=25:d=2", {"-pix_fmt", "yuv420p"});
    open();
    add_view_answers(m_routes, *m_desk);
    Json const looked = run({{"name", "c.csv"}, {"text", "from,to\n0,1\n3,4\n"}, {"footage", "new.mp4"}}, "cut");
    EXPECT_EQ(looked["result"]["film"], "new.mp4") << looked;
    Answer const still = get("still", {{"film", "new.mp4"}, {"time", "1"}, {"width", "120"}});
    ASSERT_EQ(still.status, 200) << still.body;
    write_text(m_folder / "still.png", still.body);
    auto const picture = tests::read_png(m_folder / "still.png");
    ASSERT_EQ(picture.at.width, 120);
    std::uint32_t const middle = picture.pixels.at(picture.pixels.size() / 2);
    EXPECT_NEAR((middle >> 16) & 0xff, 255, 8);
    EXPECT_NEAR(middle & 0xff, 0, 8);
    EXPECT_EQ(get("still", {{"film", "new.mp4"}, {"time", "99"}}).status, 200); // its last frame
    for (char const* const name : {"../lessons/new.mp4", "/etc/passwd", "lesson.json", "none.mp4", "-x"})
        EXPECT_NE(get("still", {{"film", name}, {"time", "1"}}).status, 200) << name;
}

TEST_F(DeskRuns, ACutThatKeepsNothingOrIsNoneIsRefusedInWords)
{
    open();
    write_text(m_folder / "lessons/c.csv", "from,to\n0,1\n");
    for (char const* const text : {"from,to\n", "nonsense", ""}) {
        Json const failed = run({{"name", "c.csv"}, {"text", text}, {"take", true}}, "cut");
        EXPECT_EQ(failed["state"], "failed");
        EXPECT_THAT(failed["what"].get<std::string>(), AllOf(HasSubstr("c.csv"), Not(HasSubstr("/cuts/"))));
    }
    EXPECT_THAT(files(), ElementsAre("c.csv", "in.mp4", "lesson.json"));
}

// Every finding of the command, with its place in the file.
TEST_F(DeskRuns, AFullCheckGivesTheFindingsOfTheCommand)
{
    write_text(folder() / "lesson.json",
               R"({"tabard": 1, "title": "Lantern on the Quay", "footage": "in.mp4", "key": "C",
 "sections": [{"name": "Verse", "from": "0:00", "to": "0:02", "show": [{"chord": "Qx", "from": "0:00"}]}]})");
    open();
    Json const checked = run({{"kind", "check"}});
    ASSERT_EQ(checked["state"], "done") << checked;
    Json const said =
        Json::parse(tests::run_program({TABARD_PROGRAM, "check", folder() / "lesson.json", "--json"}).out);
    auto const codes = [](Json const& findings) {
        std::vector<std::string> result;
        for (Json const& finding : findings)
            result.push_back(finding["code"]);
        return result;
    };
    EXPECT_EQ(codes(checked["result"]["findings"]), codes(said["findings"]));
    EXPECT_THAT(codes(said["findings"]), testing::Contains("unknown-chord"));
    for (Json const& finding : checked["result"]["findings"])
        if (finding["code"] == "unknown-chord") {
            EXPECT_EQ(finding["part"], 0);
            EXPECT_EQ(finding["path"], Json::parse(R"(["sections", 0, "show", 0, "chord"])"));
        }
}

/// A cue file with edits of the page, as JSON.
Json edited(fs::path const& file, Json const& edits)
{
    auto document = parse_document(read_text(file));
    EXPECT_TRUE(document && apply_edits(*document, *parse_document(edits.dump())));
    return Json::parse(document_text(*document));
}

// The demo lesson with its sound: what is taken at the desk is what the command writes.
TEST_F(DeskRuns, ListeningGivesTheFileOfTheCommandPartByPart)
{
    fs::copy_file(tests::source_folder() / "sample_media/lantern.json", folder() / "lantern.json");
    fs::copy_file(tests::source_folder() / "sample_media/lantern.mp4", folder() / "lantern.mp4");
    open("lantern.json");
    Json const heard = run({{"kind", "listen"}});
    ASSERT_EQ(heard["state"], "done") << heard;
    ASSERT_EQ(tests::run_program(
                  {TABARD_PROGRAM, "listen", folder() / "lantern.json", "-o", folder() / "timed.json", "--force"})
                  .exit,
              0);
    Json const timed = Json::parse(read_text(folder() / "timed.json"));
    EXPECT_EQ(edited(folder() / "lantern.json", heard["result"]["edits"]), timed);
    Json each = Json::array();
    for (Json const& part : heard["result"]["parts"])
        each.insert(each.end(), part["edits"].begin(), part["edits"].end());
    EXPECT_GT(heard["result"]["parts"].size(), 2u);
    EXPECT_EQ(edited(folder() / "lantern.json", each), timed);
    EXPECT_EQ(heard["result"]["digest"], m_desk->view()->digest);
    Json const one = run({{"kind", "listen"}, {"part", 4}});
    ASSERT_EQ(one["result"]["parts"].size(), 1u);
    EXPECT_EQ(one["result"]["parts"][0]["name"], "Chorus");
}

TEST_F(DeskRuns, AFilmWithoutPartsGetsThoseThatTheCommandProposes)
{
    write_text(folder() / "plain.json", R"({"tabard": 1, "title": "Lantern on the Quay", "footage": "in.mp4",
 "sections": [{"name": "Lesson", "from": "0:00"}]})");
    open("plain.json");
    Json const proposed = run({{"kind", "start"}});
    ASSERT_EQ(proposed["state"], "done") << proposed;
    ASSERT_EQ(tests::run_program({TABARD_PROGRAM, "start", folder() / "in.mp4", "-o", folder() / "start.json"}).exit,
              0);
    Json const sections = Json::parse(read_text(folder() / "start.json"))["sections"];
    EXPECT_EQ(edited(folder() / "plain.json", proposed["result"]["edits"])["sections"], sections);
    EXPECT_EQ(proposed["result"]["parts"].size(), sections.size());

    open(); // of this one parts are written
    EXPECT_THAT(run({{"kind", "start"}})["result"]["edits"], IsEmpty());
    propose_parts(m_routes);
    EXPECT_EQ(Json::parse(get("runs").body).back()["kind"], "start");
}

TEST_F(DeskRuns, EndWithTheServerAndLeaveNoHalfFilm)
{
    open();
    EXPECT_EQ(post("runs", {{"kind", "render"}, {"draft", false}, {"name", "film.mp4"}}).status, 200);
    m_routes = {};
    for (std::string const& name : files())
        EXPECT_THAT(name, testing::AnyOf("in.mp4", "lesson.json", "film.mp4")) << name;
}

} // namespace
} // namespace tabard::pipeline
