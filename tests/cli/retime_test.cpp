#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <array>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

// The demo film is cut again with FFmpeg, its cues follow by the same list, and the rendered pictures are compared with
// the cut film: an overlay is there from the frame that the arithmetic of the list gives, to the frame.
namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

// 25 frames a second. Four chords, each alone: frames 50-75, 110-130, 175-200, 226-250.
constexpr char const* kLesson = R"({"tabard": 1, "title": "t", "footage": "FILM", "sections": [
  {"name": "", "from": "0:00", "to": "0:20", "show": [
    {"chord": "C", "from": "0:02", "to": "0:03"},
    {"chord": "G", "from": "0:04.4", "to": "0:05.2"},
    {"chord": "Am", "from": "0:07", "to": "0:08"},
    {"chord": "F", "from": "0:09.04", "to": "0:10"}]}]}
)";

// A mistake is out, a message is in (20 frames), two parts are swapped, one is repeated.
constexpr char const* kList = "TITLE: CUT AGAIN\nFCM: NON-DROP FRAME\n"
                              "001  LANTERN  V  C  00:00:01:15 00:00:02:10 01:00:00:00 01:00:00:20\n"
                              "002  MESSAGE  V  C  00:00:00:00 00:00:00:20 01:00:00:20 01:00:01:15\n"
                              "003  LANTERN  V  C  00:00:09:00 00:00:10:05 01:00:01:15 01:00:02:20\n"
                              "004  LANTERN  V  C  00:00:04:00 00:00:05:15 01:00:02:20 01:00:04:10\n"
                              "005  LANTERN  V  C  00:00:02:10 00:00:03:05 01:00:04:10 01:00:05:05\n"
                              "006  LANTERN  V  C  00:00:04:05 00:00:04:20 01:00:05:05 01:00:05:20\n";
// The same in frames: source from, source to. -1: the message.
constexpr std::array<std::pair<int, int>, 6> kPieces{
    {{40, 60}, {-1, 20}, {225, 255}, {100, 140}, {60, 80}, {105, 120}}};
// Where the four chords must be seen in the 145 frames of the new film: chord frames, less the piece's source start,
// plus its place. C is cut at 60 and goes on in the fifth piece; F; G whole; C to its end; G repeated until the piece
// ends. What is there for 0.6 s fades in over 150 ms, 3.75 frames, before; F has one frame of its piece for that, and
// what is left of C begins with its piece.
std::vector<std::pair<int, int>> const kSeen{{10, 20}, {41 - 1, 65}, {80 - 4, 100}, {110, 125}, {135, 145}};

ProgramRun run_well(std::vector<std::string> const& words)
{
    ProgramRun run = run_program(words);
    EXPECT_EQ(run.exit, 0) << words[1] << ": " << run.err;
    return run;
}

std::string const kFilm = (source_folder() / "sample_media/lantern.mp4").string();

void cut_with_ffmpeg(fs::path const& target)
{
    std::string graph = "[0:v]scale=640:360,split=5[s0][s2][s3][s4][s5];[1:v]format=yuv420p[p1];";
    for (std::size_t i = 0; i < kPieces.size(); ++i)
        if (kPieces[i].first >= 0)
            graph += "[s" + std::to_string(i) + "]trim=start_frame=" + std::to_string(kPieces[i].first) +
                     ":end_frame=" + std::to_string(kPieces[i].second) + ",setpts=PTS-STARTPTS[p" + std::to_string(i) +
                     "];";
    graph += "[p0][p1][p2][p3][p4][p5]concat=n=6:v=1:a=0";
    run_well({"ffmpeg",
              "-v",
              "error",
              "-t",
              "12",
              "-i",
              kFilm,
              "-f",
              "lavfi",
              "-i",
              "testsrc2=size=640x360:rate=25:duration=0.8",
              "-filter_complex",
              graph,
              "-r",
              "25",
              "-c:v",
              "libx264",
              "-preset",
              "ultrafast",
              "-crf",
              "8",
              "-g",
              "25",
              target.string()});
}

constexpr std::size_t kWidth = 320;
constexpr std::size_t kHeight = 180;

/// All pictures as grey values, one after the other.
std::string decoded(fs::path const& film, fs::path const& raw)
{
    run_well({"ffmpeg", "-v", "error", "-y", "-i", film.string(), "-an", "-vf", "scale=320:180,format=gray",
              "-fps_mode", "passthrough", "-f", "rawvideo", raw.string()});
    return read_text(raw);
}

/// Whether an overlay lies over a picture: coding alone changes grey values by a few.
bool has_overlay(std::string const& plain, std::string const& rendered, std::size_t picture)
{
    int changed = 0;
    for (std::size_t i = picture * kWidth * kHeight; i < (picture + 1) * kWidth * kHeight; ++i)
        changed +=
            std::abs(static_cast<unsigned char>(plain[i]) - static_cast<unsigned char>(rendered[i])) > 12 ? 1 : 0;
    return changed > 100;
}

std::vector<std::pair<int, int>> runs_with_overlay(std::string const& plain, std::string const& rendered)
{
    std::vector<std::pair<int, int>> runs;
    for (int picture = 0; picture < static_cast<int>(plain.size() / (kWidth * kHeight)); ++picture) {
        if (!has_overlay(plain, rendered, static_cast<std::size_t>(picture)))
            continue;
        if (!runs.empty() && runs.back().second == picture)
            ++runs.back().second;
        else
            runs.emplace_back(picture, picture + 1);
    }
    return runs;
}

class CutAgain : public testing::Test {
protected:
    void SetUp() override
    {
        std::string lesson = kLesson;
        lesson.replace(lesson.find("FILM"), 4, kFilm);
        write_text(folder / "old.json", lesson);
        write_text(folder / "cut.edl", kList);
    }
    std::string file(std::string const& name) const { return (folder / name).string(); }
    TemporaryFolder folder;
};

TEST_F(CutAgain, OverlaysComeAndGoInTheNewFilmToTheFrame)
{
    cut_with_ffmpeg(folder / "new.mp4");
    run_well({TABARD_PROGRAM, "retime", file("old.json"), "--by", file("cut.edl"), "--footage", file("new.mp4"), "-o",
              file("new.json")});
    run_well({TABARD_PROGRAM, "render", file("new.json"), "-o", file("out.mp4"), "--crf", "4", "--preset", "ultrafast",
              "--no-cache"});
    std::string const plain = decoded(folder / "new.mp4", folder / "plain.gray");
    std::string const rendered = decoded(folder / "out.mp4", folder / "out.gray");
    ASSERT_EQ(plain.size(), 145 * kWidth * kHeight);
    ASSERT_EQ(rendered.size(), plain.size());
    EXPECT_EQ(runs_with_overlay(plain, rendered), kSeen);
    // Without a cue file of its own, the same pictures.
    run_well({TABARD_PROGRAM, "render", file("old.json"), "--through", file("cut.edl"), "--footage", file("new.mp4"),
              "-o", file("through.mp4"), "--crf", "4", "--preset", "ultrafast", "--no-cache"});
    EXPECT_EQ(decoded(folder / "through.mp4", folder / "through.gray"), rendered);
}

TEST_F(CutAgain, TheTableSaysWhatBecameOfEachCue)
{
    ProgramRun const run = run_well({TABARD_PROGRAM, "retime", file("old.json"), "--by", file("cut.edl")});
    EXPECT_THAT(run.out, HasSubstr("chords            4        1        0        1        1        1\n"));
    EXPECT_THAT(run.out, HasSubstr(file("old.json") + ":5: chord Am in \"\": 0:07.000 - 0:08.000\n"));
    EXPECT_FALSE(fs::exists(folder / "new.json")) << "without -o nothing is written";
}

TEST_F(CutAgain, TheReportIsOneDocumentForAProgram)
{
    run_well({TABARD_PROGRAM, "retime", file("old.json"), "--by", file("cut.edl"), "--report", file("report.json")});
    EXPECT_THAT(read_text(folder / "report.json"), HasSubstr("\"version\": 1"));
}

TEST_F(CutAgain, FilesThatAreThereAreKept)
{
    write_text(folder / "new.json", "mine");
    ProgramRun const run =
        run_program({TABARD_PROGRAM, "retime", file("old.json"), "--by", file("cut.edl"), "-o", file("new.json")});
    EXPECT_EQ(run.exit, 3);
    EXPECT_THAT(run.err, HasSubstr("--force"));
    EXPECT_EQ(read_text(folder / "new.json"), "mine");
}

TEST_F(CutAgain, AListThatCannotBeReadIsNamedWithItsLine)
{
    write_text(folder / "bad.edl", "TITLE: x\n001 LANTERN V C 00:00:00:00 00:00:00:99 00:00:00:00 00:00:01:00\n");
    ProgramRun const run = run_program({TABARD_PROGRAM, "retime", file("old.json"), "--by", file("bad.edl")});
    EXPECT_EQ(run.exit, 3);
    EXPECT_THAT(run.err, HasSubstr("bad.edl: line 2: "));
    EXPECT_EQ(run_program({TABARD_PROGRAM, "retime", file("old.json")}).exit, 2);
    EXPECT_EQ(run_program({TABARD_PROGRAM, "retime", file("old.json"), "--by", file("none.edl")}).exit, 3);
}

// A film without its overlays, or a lesson without parts, and exit 0 would be the worst of answers.
TEST_F(CutAgain, ThatKeepsNothingIsRefusedByEveryCommandWithTheReason)
{
    std::string const head = "TITLE: x\nFCM: NON-DROP FRAME\n";
    struct {
        char const* list;
        std::string text;
        char const* why;
    } const kCuts[] = {
        {"empty.csv", "", "keeps nothing of the footage"},
        {"head.csv", "from,to\n", "keeps nothing of the footage"},
        {"late.csv", "from,to\n5:00,6:00\n", "begins after the end of the footage (0:59.600)"},
        {"silent.csv", "from,to\n0:30,0:31\n", "keeps no part of this lesson"}, // inside the film, after the last cue
        {"black.edl", head + "001  BL  V  C  00:00:00:00 00:00:10:00 01:00:00:00 01:00:10:00\n", "keeps nothing"},
        {"empty.otio",
         R"({"OTIO_SCHEMA": "Timeline.1", "name": "t", "tracks": {"OTIO_SCHEMA": "Stack.1", "children": []}})",
         "keeps nothing"},
    };
    for (auto const& [list, text, why] : kCuts) {
        write_text(folder / list, text);
        for (std::vector<std::string> words :
             {std::vector<std::string>{"retime", file("old.json"), "--by", file(list), "-o", file("out.json")},
              {"render", file("old.json"), "--through", file(list), "--footage", kFilm, "-o", file("out.mp4")},
              {"check", file("old.json"), "--quick", "--through", file(list)},
              {"still", file("old.json"), "--at", "0:00", "--through", file(list), "--footage", kFilm, "-o",
               file("out.png")},
              {"export", file("old.json"), "--through", file(list), "--to", "vtt", "-o", file("out.vtt")}}) {
            words.insert(words.begin(), TABARD_PROGRAM);
            ProgramRun const run = run_program(words);
            EXPECT_EQ(run.exit, 3) << words[1] << " " << list << ": " << run.out;
            EXPECT_THAT(run.err, HasSubstr(why)) << words[1] << " " << list;
            EXPECT_THAT(run.err, HasSubstr(list)) << words[1];
        }
    }
    for (char const* out : {"out.json", "out.mp4", "out.png", "out.vtt"})
        EXPECT_FALSE(fs::exists(folder / out)) << out;
}

TEST_F(CutAgain, TheCutGoesOutToEditingProgramsAndComesBack)
{
    std::string const direct = run_well({TABARD_PROGRAM, "retime", file("old.json"), "--by", file("cut.edl")}).out;
    for (std::string const format : {"edl", "otio"}) {
        run_well({TABARD_PROGRAM, "export", file("old.json"), "--through", file("cut.edl"), "--to", format, "-o",
                  file("again." + format)});
        ProgramRun const run = run_well({TABARD_PROGRAM, "retime", file("old.json"), "--by", file("again." + format)});
        EXPECT_EQ(run.out.substr(0, run.out.find("\nnote")), direct.substr(0, direct.find("\nnote")));
    }
}

} // namespace
} // namespace tabard::tests
