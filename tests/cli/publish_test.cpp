#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::StartsWith;

std::string demo() { return source_folder() / "sample_media/lantern.json"; }

ProgramRun tabard(std::vector<std::string> words)
{
    words.insert(words.begin(), TABARD_PROGRAM);
    return run_program(words);
}

TEST(SheetCommand, WritesAPdfAndLeavesWhatIsThere)
{
    TemporaryFolder const folder;
    std::string const sheet = folder / "sheet.pdf";
    ProgramRun const first = tabard({"sheet", demo(), "-o", sheet});
    EXPECT_EQ(first.exit, 0) << first.err;
    EXPECT_THAT(first.out, IsEmpty());
    std::string const bytes = read_text(sheet);
    EXPECT_THAT(bytes, StartsWith("%PDF-"));

    ProgramRun const again = tabard({"sheet", demo(), "-o", sheet, "--large-print"});
    EXPECT_EQ(again.exit, 3);
    EXPECT_THAT(again.err, HasSubstr("--force"));
    EXPECT_EQ(read_text(sheet), bytes);
}

TEST(SheetCommand, WritesAFileForEachPageOfAPicture)
{
    TemporaryFolder const folder;
    EXPECT_EQ(tabard({"sheet", demo(), "-o", folder / "s.png", "--large-print"}).exit, 0);
    EXPECT_FALSE(std::filesystem::exists(folder / "s.png"));
    EXPECT_THAT(read_text(folder / "s-2.png"), StartsWith("\x89PNG"));
}

TEST(SheetCommand, IsTheSameFileForTheSameLesson)
{
    TemporaryFolder const folder;
    for (char const* form : {"pdf", "svg"}) {
        EXPECT_EQ(tabard({"sheet", demo(), "-o", folder / (std::string{"a."} + form)}).exit, 0);
        EXPECT_EQ(tabard({"sheet", demo(), "-o", folder / (std::string{"b."} + form)}).exit, 0);
        EXPECT_TRUE(read_text(folder / (std::string{"a."} + form)) == read_text(folder / (std::string{"b."} + form)));
    }
}

TEST(SheetCommand, SaysWhatItCannotDo)
{
    TemporaryFolder const folder;
    EXPECT_EQ(tabard({"sheet", demo(), "-o", folder / "sheet.txt"}).exit, 2);
    EXPECT_EQ(tabard({"sheet", demo(), "-o", folder / "none/sheet.pdf"}).exit, 4);
    EXPECT_EQ(tabard({"sheet", demo(), "-o", folder / "s.pdf", "--paper", "a5"}).exit, 2);
    EXPECT_EQ(tabard({"sheet", folder / "none.json", "-o", folder / "s.pdf"}).exit, 3);
    ProgramRun const theme = tabard({"sheet", demo(), "-o", folder / "s.pdf", "--theme", "plaid"});
    EXPECT_EQ(theme.exit, 2);
    EXPECT_THAT(theme.err, HasSubstr("dark_card, light_card"));
}

TEST(PublishCommand, FillsAFolderAndPutsChaptersIntoAFilm)
{
    TemporaryFolder const folder;
    write_text(folder / "said.srt", "1\n00:00:05,000 --> 00:00:08,000\nThis is C & G\n");
    std::string const film = source_folder() / "sample_media/lantern.mp4";
    ProgramRun const run =
        tabard({"publish", demo(), "-o", folder / "beside", "--speech", folder / "said.srt", "--embed", film});
    ASSERT_EQ(run.exit, 0) << run.err;
    EXPECT_THAT(run.err, HasSubstr("at least ten seconds")); // the demo's parts are short
    for (char const* name :
         {"chapters.txt", "chapters.vtt", "chapters.ffmeta", "captions.vtt", "captions.srt", "captions-with-speech.vtt",
          "captions-with-speech.srt", "description.txt", "summary.json", "cover.png"})
        EXPECT_TRUE(std::filesystem::exists(folder / (std::string{"beside/"} + name))) << name;
    EXPECT_THAT(read_text(folder / "beside/chapters.txt"), StartsWith("0:00 Good evening\n0:04 The shapes\n"));
    EXPECT_THAT(read_text(folder / "beside/captions-with-speech.vtt"), HasSubstr("This is C &amp; G"));

    // Read back with ffprobe: chapters to the millisecond, and the same packets as before.
    std::string const target = folder / "beside/lantern.mp4";
    auto const chapters = run_program({"ffprobe", "-v", "error", "-show_chapters", "-of", "compact", target}).out;
    EXPECT_THAT(chapters,
                testing::ContainsRegex("start_time=16.600000.end=[0-9]+.end_time=28.600000.tag:title=Verse, slowly"));
    auto const packets = [](std::string const& path) {
        return run_program({"ffmpeg", "-v", "error", "-i", path, "-map", "0:v", "-map", "0:a", "-c", "copy", "-f",
                            "streamhash", "-"})
            .out;
    };
    EXPECT_EQ(packets(target), packets(film));
    EXPECT_FALSE(packets(film).empty());
}

TEST(RenderCommand, PutsTheLessonsPartsIntoTheFilmAsChapters)
{
    TemporaryFolder const folder;
    std::string const film = folder / "film.mp4";
    ProgramRun const run = tabard({"render", demo(), "--draft", "--to", "0:06", "--chapters", "-o", film});
    ASSERT_EQ(run.exit, 0) << run.err;
    // The demo's own times, read back with ffprobe.
    auto const chapters = run_program({"ffprobe", "-v", "error", "-show_chapters", "-of", "compact", film}).out;
    EXPECT_THAT(chapters,
                testing::ContainsRegex("start_time=0.000000.end=[0-9]+.end_time=4.400000.tag:title=Good evening"));
    EXPECT_THAT(chapters,
                testing::ContainsRegex("start_time=4.400000.end=[0-9]+.end_time=6.[0-9]+.tag:title=The shapes"));
    EXPECT_THAT(chapters, testing::Not(HasSubstr("Verse")));
}

TEST(PublishCommand, LeavesNothingBehindWhereTheSpeechCannotBeRead)
{
    TemporaryFolder const folder;
    write_text(folder / "said.vtt", "WEBVTT\n\n00:05.0 -> 00:08.000\nx\n");
    for (char const* speech : {"said.vtt", "none.vtt"}) {
        ProgramRun const run = tabard({"publish", demo(), "-o", folder / "new/beside", "--speech", folder / speech});
        EXPECT_EQ(run.exit, 3);
        EXPECT_THAT(run.err, HasSubstr(speech));
        EXPECT_EQ(std::ranges::count(run.err, '\n'), 1) << run.err;
        EXPECT_FALSE(std::filesystem::exists(folder / "new"));
    }
    EXPECT_THAT(tabard({"publish", demo(), "-o", folder / "b", "--speech", folder / "said.vtt"}).err,
                HasSubstr("said.vtt: no caption can be read; line 3: there is no arrow between the times"));
    EXPECT_EQ(tabard({"publish", demo(), "-o", folder / "b", "--description", folder / "none"}).exit, 3);
    EXPECT_FALSE(std::filesystem::exists(folder / "b"));
    EXPECT_EQ(tabard({"publish", demo(), "-o", folder / "said.vtt/beside"}).exit, 4); // no folder can be made there
}

TEST(PublishCommand, SaysWhatIsLeftOutOfTheSpeech)
{
    TemporaryFolder const folder;
    std::string said = "WEBVTT\n\n00:01.000 --> 00:02.000\nkept\n";
    for (int i = 0; i < 13; ++i)
        said += "\n00:05.0 --> 00:08.000\nlost\n";
    write_text(folder / "said.vtt", said);
    ProgramRun const run = tabard({"publish", demo(), "-o", folder / "beside", "--speech", folder / "said.vtt"});
    EXPECT_EQ(run.exit, 0) << run.err;
    EXPECT_THAT(run.err, HasSubstr("said.vtt: line 6: '00:05.0' is no time;"));
    EXPECT_THAT(run.err, HasSubstr("said.vtt: line 33: ")); // 6 + 9 * 3
    EXPECT_THAT(run.err, testing::Not(HasSubstr("line 36")));
    EXPECT_THAT(run.err, HasSubstr("said.vtt: and 3 more left out\n"));
    EXPECT_THAT(read_text(folder / "beside/captions-with-speech.vtt"), HasSubstr("kept"));
    EXPECT_THAT(read_text(folder / "beside/captions-with-speech.vtt"), testing::Not(HasSubstr("lost")));
}

} // namespace
} // namespace tabard::tests
