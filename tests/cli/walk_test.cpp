#include "tests/cli/page.h"
#include "tests/support/footage.h"
#include "tests/support/paths.h"
#include "tests/support/performance/conditions.h"
#include "tests/support/performance/room.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <filesystem>
#include <functional>
#include <regex>
#include <sstream>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

// docs/first-lesson.md is walked as it is written: its commands are typed in its order, and what it quotes is printed.
namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using testing::AnyOf;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;
using Json = nlohmann::ordered_json;

constexpr char const* kPage = "first-lesson.md";

/// A folder with a film called lesson.mp4, and the page.
class FirstLesson : public testing::Test {
protected:
    std::string file(std::string const& name) const { return (m_folder / name).string(); }

    ProgramRun type(std::string const& command)
    {
        ProgramRun const run = m_reader.type(command);
        EXPECT_EQ(run.exit, 0) << command << "\n" << run.out;
        return run;
    }

    /// Types every command of the page; between `start` and the next one its reader fills in the cue file.
    void walk(std::function<void()> const& fill_in,
              std::function<void(std::string const&, ProgramRun const&)> const& seen)
    {
        for (PageBlock const& block : m_blocks) {
            if (block.language != "sh")
                continue;
            for (std::string const& command : block.lines) {
                seen(command, type(command));
                if (command.starts_with("tabard start"))
                    fill_in();
            }
        }
    }

    /// The chapters that WebVTT has, "SECONDS NAME" to three places.
    std::vector<std::pair<double, std::string>> chapters() const
    {
        std::vector<std::pair<double, std::string>> found;
        std::istringstream lines(read_text(m_folder / "published/chapters.vtt"));
        for (std::string line, name; std::getline(lines, line);)
            if (line.find(" --> ") != std::string::npos && std::getline(lines, name))
                found.emplace_back(3600 * std::stod(line) + 60 * std::stod(line.substr(3)) + std::stod(line.substr(6)),
                                   name);
        return found;
    }

    TemporaryFolder m_folder;
    PageReader m_reader{m_folder.path()};
    std::vector<PageBlock> m_blocks = page_blocks(kPage);
};

// Expected: lantern.mp4 lasts 59.6 s, 1490 frames of 1280x720 (sample_media/README.md); 14 s of it are 350.
TEST_F(FirstLesson, IsWhatThePageSaysOnTheDemo)
{
    fs::copy_file(source_folder() / "sample_media/lantern.mp4", m_folder / "lesson.mp4");
    expect_page(m_blocks, m_reader, [this](std::string const& command, ProgramRun const&) {
        if (!command.starts_with("tabard start"))
            return;
        EXPECT_THAT(lines_missing(page_block(m_blocks, "json", 0), read_text(m_folder / "lesson.json")), IsEmpty());
        write_text(m_folder / "lesson.json", page_block(m_blocks, "json", 1).text());
    });

    EXPECT_THAT(ffprobe_rows(file("film.mp4"), "stream=width,height,nb_frames"), ElementsAre("1280,720,1490"));
    EXPECT_THAT(ffprobe_rows(file("look.mp4"), "stream=nb_frames"), ElementsAre("350"));
    EXPECT_THAT(ffprobe_rows(file("look.png"), "stream=width,height"), ElementsAre("1280,720"));
    EXPECT_EQ(packet_hashes(file("film.mp4"), "a:0"), packet_hashes(file("lesson.mp4"), "a:0"));
    EXPECT_THAT(run_program({"pdfinfo", file("sheet.pdf")}).out, HasSubstr("Pages:           1\n"));
}

// What the tables of the page say is printed where something is not as it should be.
TEST_F(FirstLesson, GivesTheAnswersThatItsTablesName)
{
    fs::copy_file(source_folder() / "sample_media/lantern.mp4", m_folder / "lesson.mp4");
    auto const lesson = page_block(m_blocks, "json", 1).text();
    auto const with = [&](std::string const& was, std::string const& is) {
        write_text(m_folder / "lesson.json", std::regex_replace(lesson, std::regex(was), is));
        return m_reader.type("tabard listen lesson.json --dry-run").out;
    };
    EXPECT_THAT(with("\"Verse\", ", "\"Verse\" "), HasSubstr("lesson.json:13:22: error: "));
    EXPECT_THAT(with("Am C/G", "D C/G"), HasSubstr("3.1 D at 0:41.8 sounds like Am"));
    EXPECT_THAT(with("\"capo\": 4", "\"capo\": 2"), HasSubstr("Everything sounds 2 frets higher"));
    EXPECT_THAT(with("F . C G . Am C/G . F", "D | E A | Bm | D"), HasSubstr("not found"));
    EXPECT_THAT(m_reader.type("tabard start nothing.mp4").out, HasSubstr("No such file or directory"));
    EXPECT_THAT(m_reader.type("tabard start lesson.mp4 -o lesson.json").out, HasSubstr("'lesson.json' exists"));
}

TEST_F(FirstLesson, NamesCodesThatCheckCanExplain)
{
    std::string const page = read_text(source_folder() / "docs" / kPage);
    std::regex const code(R"(`\[([a-z-]+)\]`)");
    int found = 0;
    for (std::sregex_iterator at(page.begin(), page.end(), code), end; at != end; ++at, ++found)
        type("tabard check --explain " + (*at)[1].str());
    EXPECT_GE(found, 4);
}

/// Ten minutes of talk and of ten played parts with three charts, each part at a tempo of its own.
class TenMinutes : public FirstLesson {
protected:
    static constexpr int kParts = 10;
    static constexpr int kCharts = 3;

    void SetUp() override
    {
        auto bank = sound_font_notes("/usr/share/sounds/sf2/TimGM6mb.sf2", 25, "steel");
        ASSERT_TRUE(bank) << "install timgm6mb-soundfont";
        Condition const lesson{.name = "lesson",
                               .manner = {.parts = kParts, .bars_per_part = 18, .charts = kCharts, .gap = 26},
                               .talk_between = true};
        m_take = perform(lesson, *bank, 83);
        write_wav(m_folder / "sound.wav", m_take.sound, kSampleRate);
        ffmpeg({"-i", source_folder() / "sample_media/lantern.mp4", "-an", "-vf", "fps=10,scale=480:270", "-c:v",
                "libx264", "-preset", "veryfast", "-g", "20", m_folder / "minute.mp4"});
        ffmpeg({"-stream_loop", "-1",
                "-i",           m_folder / "minute.mp4",
                "-i",           m_folder / "sound.wav",
                "-map",         "0:v",
                "-map",         "1:a",
                "-shortest",    "-c:v",
                "copy",         "-c:a",
                "aac",          "-aac_coder",
                "fast",         "-b:a",
                "96k",          m_folder / "lesson.mp4"});
    }

    static void ffmpeg(std::vector<std::string> words)
    {
        words.insert(words.begin(), {"ffmpeg", "-v", "error"});
        auto const run = run_program(words);
        ASSERT_EQ(run.exit, 0) << run.err;
    }

    static std::string name_of(int part)
    {
        return fmt::format("Song part {}, time {}", part % kCharts + 1, part / kCharts + 1);
    }

    /// A part as its author writes it: the chords the first time, later "the same again".
    Json written_part(int part) const
    {
        if (part < kCharts)
            return {{"name", name_of(part)}, {"bars", m_take.played.bars[static_cast<std::size_t>(part)]}};
        return {{"name", name_of(part)}, {"as", name_of(part % kCharts)}};
    }

    /// Fills in the parts that `start` found played; talk stays as it is.
    void fill_in_what_start_found() const
    {
        Json lesson = Json::parse(read_text(m_folder / "lesson.json"));
        int part = 0;
        for (Json& section : lesson["sections"])
            if (section["name"].get<std::string>().starts_with("Part "))
                section = written_part(part++);
        EXPECT_EQ(part, kParts) << lesson["sections"].dump(1);
        write_text(m_folder / "lesson.json", lesson.dump(2));
    }

    void fill_in_parts_alone() const
    {
        Json lesson = Json::parse(read_text(m_folder / "lesson.json"));
        lesson["sections"] = Json::array({{{"name", "Hello"}, {"from", "0:00"}}});
        for (int part = 0; part < kParts; ++part)
            lesson["sections"].push_back(written_part(part));
        write_text(m_folder / "lesson.json", lesson.dump(2));
    }

    void expect_chapters_where_parts_are_played() const
    {
        auto const found = chapters();
        for (int part = 0; part < kParts; ++part) {
            auto const chapter = std::ranges::find(found, name_of(part), &std::pair<double, std::string>::second);
            ASSERT_NE(chapter, found.end()) << name_of(part);
            EXPECT_NEAR(chapter->first, m_take.played.parts[static_cast<std::size_t>(part)].span_starts.front(), 0.05)
                << name_of(part);
        }
    }

    Take m_take;
};

// Nothing that a command finds fault with was caused by the command before it. (The lesson begins with three seconds of
// talk: that such a chapter is short is so.)
TEST_F(TenMinutes, AreWalkedWithoutAFindingWithTalkInTheFileOrWithout)
{
    std::regex const short_talk("warning: The chapter \"Talk 1\" lasts [^\n]*\n");
    walk([this] { fill_in_what_start_found(); },
         [&](std::string const& command, ProgramRun const& run) {
             EXPECT_THAT(std::regex_replace(run.out, short_talk, ""),
                         Not(AnyOf(HasSubstr("warning"), HasSubstr("error"))))
                 << command;
         });
    EXPECT_GT(std::stod(ffprobe_rows(file("lesson.mp4"), "format=duration").at(0)), 10 * 60);
    for (char const* what : {"stream=nb_frames", "format=duration"})
        EXPECT_EQ(ffprobe_rows(file("film.mp4"), what), ffprobe_rows(file("lesson.mp4"), what));
    EXPECT_THAT(run_program({"pdfinfo", file("sheet.pdf")}).out, testing::ContainsRegex("Pages: +[12]\n"));
    expect_chapters_where_parts_are_played();

    fill_in_parts_alone();
    type("tabard listen lesson.json -o untimed.json");
    EXPECT_THAT(type("tabard check untimed.json --quick").out, Not(AnyOf(HasSubstr("warning"), HasSubstr("error"))));
    type("tabard publish untimed.json -o published --force");
    expect_chapters_where_parts_are_played();
}

} // namespace
} // namespace tabard::tests
