#include "tests/cli/page.h"
#include "tests/support/footage.h"
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <filesystem>
#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

// docs/editor.md is walked as it is written, on the demo and on the cut of it that the page tells of.
namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

/// The demo and its cut: 0 to 28.6 s, five seconds of a still message without sound, 37 to 59.6 s.
class EditorPage : public testing::Test {
protected:
    void SetUp() override
    {
        fs::copy_file(source_folder() / "sample_media/lantern.mp4", m_folder / "lesson.mp4");
        std::string lesson = read_text(source_folder() / "sample_media/lantern.json");
        lesson.replace(lesson.find("lantern.mp4"), 11, "lesson.mp4");
        write_text(m_folder / "lesson.json", lesson);
        write_text(m_folder / "cut.edl", page_block(m_blocks, "edl", 0).text());
        auto const cut = run_program(
            {"ffmpeg",
             "-v",
             "error",
             "-i",
             file("lesson.mp4"),
             "-f",
             "lavfi",
             "-i",
             "smptebars=s=1280x720:r=25:d=5",
             "-f",
             "lavfi",
             "-t",
             "5",
             "-i",
             "anullsrc=r=48000:cl=stereo",
             "-filter_complex",
             "[0:v]split[a][b];[a]trim=0:28.6,setpts=PTS-STARTPTS[v0];[b]trim=37:59.6,setpts=PTS-STARTPTS[v2];"
             "[0:a]asplit[c][d];[c]atrim=0:28.6,asetpts=PTS-STARTPTS[a0];[d]atrim=37:59.6,asetpts=PTS-STARTPTS[a2];"
             "[1:v]format=yuv420p[v1];[v0][a0][v1][2:a][v2][a2]concat=n=3:v=1:a=1",
             "-c:v",
             "libx264",
             "-preset",
             "ultrafast",
             "-c:a",
             "aac",
             file("new.mp4")});
        ASSERT_EQ(cut.exit, 0) << cut.err;
    }

    std::string file(std::string const& name) const { return (m_folder / name).string(); }

    TemporaryFolder m_folder;
    PageReader m_reader{m_folder.path()};
    std::vector<PageBlock> m_blocks = page_blocks("editor.md");
};

// Expected, by arithmetic: 28.6 + 5 + 22.6 = 56.2 s, 1405 frames; 4 s of overlays are 100.
TEST_F(EditorPage, IsWhatItSaysOnTheDemo)
{
    expect_page(m_blocks, m_reader, [](std::string const& command, ProgramRun const& run) {
        if (command.starts_with("tabard check")) {
            EXPECT_THAT(run.out, Not(HasSubstr("warning"))) << command;
        }
    });
    EXPECT_THAT(ffprobe_rows(file("look.mp4"), "stream=nb_frames"), ElementsAre("1405"));
    EXPECT_THAT(ffprobe_rows(file("overlays.mov"), "stream=codec_name,nb_frames"), ElementsAre("prores,100"));
    EXPECT_THAT(ffprobe_rows(file("look.png"), "stream=width,height"), ElementsAre("1280,720"));
    // The chorus is played from 37 s of the old film: 33.6 s of the new one.
    EXPECT_THAT(read_text(m_folder / "new.json"), HasSubstr(R"("Chorus", "from": "0:33.6", "to": "0:43.2")"));
    EXPECT_THAT(read_text(m_folder / "found.json"), HasSubstr(R"("Chorus", "from": "0:33.6", "to": "0:43.2")"));

    // What the table at its end says.
    std::string list = read_text(m_folder / "cut.edl");
    for (auto at = list.find(" 00:00:"); at != std::string::npos; at = list.find(" 00:00:"))
        list.replace(at, 7, " 10:00:");
    write_text(m_folder / "ten.edl", list);
    EXPECT_THAT(m_reader.type("tabard retime lesson.json --by ten.edl").out,
                HasSubstr("every piece of the cut lies behind the end of the footage"));
    EXPECT_EQ(m_reader.type("tabard retime lesson.json --by ten.edl --source-start 10:00:00:00").exit, 0);
    EXPECT_THAT(m_reader.type("tabard retime lesson.json --by cut.edl --source-start 10:00:00:00").out,
                HasSubstr("every piece of the cut lies before the beginning of the footage"));
    fs::copy_file(file("lesson.mp4"), m_folder / "other.mp4");
    EXPECT_THAT(m_reader
                    .type("sed s/lesson.mp4/other.mp4/ lesson.json >other.json; "
                          "tabard retime other.json --by cut.edl")
                    .out,
                HasSubstr("none is called like the footage"));
    EXPECT_EQ(m_reader.type("tabard retime other.json --by cut.edl --reel LESSON").exit, 0);
}

} // namespace
} // namespace tabard::tests
