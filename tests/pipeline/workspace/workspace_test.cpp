#include "pipeline/workspace/export_job.h"
#include "pipeline/workspace/workspace.h"
#include "tests/support/run_program.h"

#include <filesystem>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using testing::AllOf;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

constexpr Time seconds(int count) { return Time{count * kFlicksPerSecond}; }

/// A folder with cue files, and films that exist only as headers: 40 s at 25 pictures a second.
class OpenedOnce : public testing::Test {
protected:
    Workspace workspace()
    {
        return Workspace{{}, [this](fs::path const& film) -> Result<MediaInfo> {
                             ++m_probes[film.filename().string()];
                             if (film.filename() == "gone.mp4")
                                 return Error{ErrorKind::not_found, film.string() + " is not there"};
                             MediaInfo info;
                             info.path = film;
                             info.video.emplace();
                             info.video->rate = {25, 1};
                             info.video->duration = seconds(40);
                             return info;
                         }};
    }

    /// A cue file whose talk runs from 10 s to 20 s of `film`; the section begins at `from`.
    fs::path lesson(std::string const& film, std::string const& from = "0:10", std::string const& more = "")
    {
        tests::write_text(m_folder / "lesson.json", fmt::format(R"({{"tabard": 1, "title": "t", "footage": "{}", {}
"sections": [{{"name": "Talk", "from": "{}", "to": "0:20"}}]}})",
                                                                film, more, from));
        return m_folder / "lesson.json";
    }

    fs::path cut(std::string const& pieces)
    {
        tests::write_text(m_folder / "cut.csv", pieces);
        return m_folder / "cut.csv";
    }

    LessonRequest through(fs::path const& cues, std::string const& pieces)
    {
        LessonRequest request;
        request.cues = cues;
        request.through.cut = cut(pieces);
        return request;
    }

    tests::TemporaryFolder m_folder;
    std::map<std::string, int> m_probes; ///< how often each film's headers were read
};

// A label with frames needs the film's rate while the cue file is read, before the film itself is asked for: frame 12
// at 25 a second is 0.48 s.
TEST_F(OpenedOnce, TheHeadersOfAFilmAreReadOnce)
{
    auto space = workspace();
    auto const opened = space.open({lesson("old.mp4", "0:00:10:12"), {}, {}});
    ASSERT_TRUE(opened) << opened.error().what;
    EXPECT_EQ(opened->timeline.sections().front().in, seconds(10) + from_ticks(48, 1, 100));
    EXPECT_EQ(opened->film.facts, (MediaFacts{Time{0}, seconds(40), {25, 1}}));
    EXPECT_TRUE(space.headers(m_folder / "old.mp4"));
    EXPECT_THAT(m_probes, ElementsAre(std::pair{"old.mp4", 1}));
}

TEST_F(OpenedOnce, ALinkToAFilmIsThatFilm)
{
    tests::write_text(m_folder / "old.mp4", "");
    fs::create_symlink("old.mp4", m_folder / "link.mp4");
    auto space = workspace();
    EXPECT_TRUE(space.headers(m_folder / "old.mp4"));
    EXPECT_TRUE(space.headers(m_folder / "link.mp4"));
    EXPECT_TRUE(space.headers(m_folder / "." / "old.mp4"));
    EXPECT_THAT(m_probes, ElementsAre(std::pair{"old.mp4", 1}));
}

// The cut keeps 5 s to 30 s: 10 s of the footage is 5 s of the new film.
TEST_F(OpenedOnce, ThroughACutBothFilmsAreReadOnceAndTheTimesAreOfTheNewOne)
{
    auto space = workspace();
    auto request = through(lesson("old.mp4"), "0:05,0:30\n");
    request.footage = m_folder / "new.mp4";
    auto const opened = space.open(request);
    ASSERT_TRUE(opened) << opened.error().what;
    EXPECT_EQ(opened->timeline.sections().front().in, seconds(5));
    EXPECT_EQ(*opened->lesson.footage, m_folder / "new.mp4");
    EXPECT_EQ(opened->film.facts.duration, seconds(40)); // the film is right, whatever the list says
    EXPECT_EQ(opened->through->reading.new_length, seconds(25));
    EXPECT_EQ(opened->through->footage.path, m_folder / "old.mp4");
    EXPECT_THAT(m_probes, ElementsAre(std::pair{"new.mp4", 1}, std::pair{"old.mp4", 1}));
}

TEST_F(OpenedOnce, ThroughACutTheFilmBeforeItDoesNotStandInForTheNewOne)
{
    auto space = workspace();
    auto const opened = space.open(through(lesson("old.mp4"), "0:05,0:30\n"));
    ASSERT_TRUE(opened) << opened.error().what;
    EXPECT_FALSE(opened->film.headers);
    EXPECT_THAT(opened->film.error->what, HasSubstr("--footage"));
    EXPECT_EQ(opened->film.facts, (MediaFacts{Time{0}, seconds(25), {25, 1}}));
}

// Nobody knows how long a film is that is gone; the cut's last piece, which ends at 30 s, says that it is that long.
// The section's end is open: it ends where the footage does, at 25 s of the new film.
TEST_F(OpenedOnce, AFilmThatIsGoneIsAsLongAsItsCutSays)
{
    tests::write_text(m_folder / "lesson.json", R"({"tabard": 1, "title": "t", "footage": "gone.mp4",
"sections": [{"name": "Talk", "from": "0:10"}]})");
    auto space = workspace();
    auto const opened = space.open(through(m_folder / "lesson.json", "0:05,0:30\n"));
    ASSERT_TRUE(opened) << opened.error().what;
    EXPECT_EQ(opened->timeline.sections().front().in, seconds(5));
    EXPECT_EQ(opened->timeline.sections().front().out, seconds(25));
}

// An edit list counts frames and does not say how many a second has.
TEST_F(OpenedOnce, OfAFilmThatIsGoneNobodyKnowsTheRateOfAnEditList)
{
    auto space = workspace();
    auto request = through(lesson("gone.mp4"), "");
    request.through.cut = m_folder / "cut.edl";
    tests::write_text(request.through.cut, "001 GONE V C 00:00:05:00 00:00:30:00 00:00:00:00 00:00:25:00\n");
    EXPECT_THAT(space.open(request).error().what, HasSubstr("--rate"));
    request.through.rate = "25";
    auto const opened = space.open(request);
    ASSERT_TRUE(opened) << opened.error().what;
    EXPECT_EQ(opened->timeline.sections().front().in, seconds(5));
    request.through.rate = "";
    request.cues = lesson("old.mp4");
    request.through.reel = "GONE";
    EXPECT_TRUE(space.open(request)) << "the film says it";
}

TEST_F(OpenedOnce, OfAFilmThatIsGoneTheNotesCount)
{
    auto space = workspace();
    auto const opened =
        space.open({lesson("gone.mp4", "0:10", R"("made_for": {"duration": "1:00", "rate": "29.97"},)"), {}, {}});
    ASSERT_TRUE(opened) << opened.error().what;
    EXPECT_EQ(opened->film.error->kind, ErrorKind::not_found);
    EXPECT_EQ(opened->film.facts.duration, seconds(60));
    EXPECT_EQ(opened->film.facts.rate, (FrameRate{30000, 1001}));
}

TEST_F(OpenedOnce, EveryFileThatIsReadIsAnInput)
{
    auto space = workspace();
    auto request = through(lesson("old.mp4"), "0:05,0:30\n");
    request.footage = m_folder / "new.mp4";
    ASSERT_TRUE(space.open(request));
    space.add_input(m_folder / "theme.json");
    for (char const* name : {"lesson.json", "old.mp4", "cut.csv", "new.mp4", "theme.json"})
        EXPECT_TRUE(space.inputs().hold(m_folder / name)) << name;
    EXPECT_FALSE(space.inputs().hold(m_folder / "result.json"));
}

TEST_F(OpenedOnce, AFilmThatStandsForACutIsAskedForOnce)
{
    auto space = workspace();
    CutRequest request;
    request.cut = m_folder / "new.mp4";
    EXPECT_TRUE(space.names_film(request));
    EXPECT_TRUE(space.names_film(request));
    EXPECT_THAT(m_probes, ElementsAre(std::pair{"new.mp4", 1}));
    request.cut = m_folder / "cut.edl";
    EXPECT_FALSE(space.names_film(request));
}

TEST_F(OpenedOnce, ACutThatIsNotThereIsSaidSo)
{
    auto space = workspace();
    CutRequest request;
    request.cut = m_folder / "gone.mp4";
    EXPECT_EQ(space.read_cut(request, {}).error().kind, ErrorKind::not_found);
}

TEST_F(OpenedOnce, MistakesOfTheCueFileAreFindingsForACheckAndAnErrorForTheRest)
{
    auto space = workspace();
    auto const cues = lesson("", "never");
    auto const written = space.read(cues);
    ASSERT_TRUE(written);
    EXPECT_FALSE(written->file.reading.usable());
    EXPECT_THAT(m_probes, IsEmpty());
    auto const opened = space.open({cues, {}, {}});
    ASSERT_FALSE(opened);
    EXPECT_EQ(opened.error().kind, ErrorKind::invalid_input);
    EXPECT_THAT(opened.error().what, AllOf(HasSubstr("lesson.json:1:40: error: "), HasSubstr("has 2 errors")));
}

TEST_F(OpenedOnce, AFileThatIsNoJsonIsAFindingWithItsPlace)
{
    tests::write_text(m_folder / "lesson.json", "{\"tabard\": 1,,}");
    auto space = workspace();
    auto const written = space.read(m_folder / "lesson.json");
    ASSERT_TRUE(written);
    EXPECT_FALSE(written->file.reading.lesson);
    ASSERT_EQ(written->file.reading.findings.size(), 1U);
    EXPECT_EQ(written->file.reading.findings.front().at, (SourcePosition{1, 14}));
    EXPECT_EQ(space.open({m_folder / "lesson.json", {}, {}}).error().kind, ErrorKind::invalid_input);
    EXPECT_EQ(space.read(m_folder / "nothing.json").error().kind, ErrorKind::not_found);
}

TEST_F(OpenedOnce, WhoStopsIsNotToldThatTheFilmIsMissing)
{
    Workspace space{{}, [](fs::path const&) -> Result<MediaInfo> { return Error{ErrorKind::interrupted, "stopped"}; }};
    EXPECT_EQ(space.open({lesson("old.mp4"), {}, {}}).error().kind, ErrorKind::interrupted);
    CutRequest request;
    request.cut = m_folder / "new.mp4";
    EXPECT_EQ(space.read_cut(request, {}).error().kind, ErrorKind::interrupted);
}

TEST_F(OpenedOnce, WhatIsNeitherAFilmNorAListIsToldHowAListIsNamed)
{
    Workspace space{{}, [](fs::path const&) -> Result<MediaInfo> {
                        return Error{ErrorKind::invalid_input, "no film"};
                    }};
    CutRequest request;
    request.cut = m_folder / "cut.txt";
    EXPECT_THAT(space.read_cut(request, {}).error().what, HasSubstr("should end in .edl, .otio or .csv"));
}

// 15 s of the new film's 20 are from the old one: 75 %. Noise repeats nothing.
TEST_F(OpenedOnce, ACutThatIsGivenAsTheNewFilmIsHeard)
{
    auto const ffmpeg = [](std::vector<std::string> words) {
        words.insert(words.begin(), {"ffmpeg", "-v", "error"});
        auto const run = tests::run_program(words);
        EXPECT_EQ(run.exit, 0) << run.err;
    };
    ffmpeg({"-f", "lavfi", "-i", "anoisesrc=r=16000:d=30:seed=1", m_folder / "old.wav"});
    ffmpeg({"-f", "lavfi", "-i", "anoisesrc=r=16000:d=5:seed=2", "-ss", "10", "-t", "15", "-i", m_folder / "old.wav",
            "-filter_complex", "[0][1]concat=n=2:v=0:a=1", m_folder / "new.wav"});
    auto space = workspace();
    KnownFilm old_film;
    old_film.path = m_folder / "old.wav";
    CutRequest request;
    request.cut = m_folder / "new.wav";
    auto const cut = space.read_cut(request, old_film);
    ASSERT_TRUE(cut) << cut.error().what;
    EXPECT_EQ(cut->remarks.at(0), "found by sound: 1 piece, 75 % of the new film comes from the old one");
    EXPECT_EQ(cut->new_length, seconds(20));
    for (char const* name : {"old.wav", "new.wav"})
        EXPECT_TRUE(space.inputs().hold(m_folder / name)) << name;
}

// Through the cut the film is 25 s long and its only section is seen from 5 s to 15 s.
TEST_F(OpenedOnce, AnEditingProgramGetsTheCutTheFilmAndTheCues)
{
    auto space = workspace();
    auto const whole = export_job(*space.open({lesson("old.mp4"), {}, {}}));
    ASSERT_TRUE(whole) << whole.error().what;
    EXPECT_EQ(whole->cut, EditMap::identity(seconds(40)));
    EXPECT_EQ(whole->length, seconds(40));
    EXPECT_EQ(whole->footage, (m_folder / "old.mp4").string());
    auto const cut = export_job(*space.open(through(lesson("old.mp4"), "0:05,0:30\n")));
    ASSERT_TRUE(cut) << cut.error().what;
    EXPECT_EQ(cut->length, seconds(25));
    EXPECT_EQ(cut->footage_length, seconds(40));
    EXPECT_EQ(cut->footage, (m_folder / "old.mp4").string());
    ASSERT_EQ(cut->cut.spans().size(), 1U);
    EXPECT_EQ(cut->cut.spans()[0].source, (Interval{seconds(5), seconds(30)}));
    ASSERT_EQ(cut->cues.size(), 1U);
    EXPECT_EQ(cut->cues[0].on_screen, (Interval{seconds(5), seconds(15)}));
}

TEST_F(OpenedOnce, AFilmOfUnknownLengthIsNotExported)
{
    auto space = workspace();
    auto const job = export_job(*space.open({lesson("gone.mp4"), {}, {}}));
    ASSERT_FALSE(job);
    EXPECT_EQ(job.error().kind, ErrorKind::not_found);
}

} // namespace
} // namespace tabard::pipeline
