// Every command that draws on a film chooses the same cards for it.
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <cstdlib>
#include <filesystem>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::Not;

constexpr char const* kNote = "Cards are dark: the picture is bright where they stand";

class ThemeOfAFilm : public testing::Test {
protected:
    ThemeOfAFilm()
    {
        setenv("TABARD_CACHE", (m_folder / "cache").c_str(), 1);
        film("white.mp4", "0xF4F2EC");
        film("black.mp4", "0x16130F");
        lesson("white.mp4");
    }
    ~ThemeOfAFilm() override { unsetenv("TABARD_CACHE"); }

    void film(std::string const& name, std::string const& colour) const
    {
        make_footage(m_folder / name, fmt::format("color={}:s=640x360:r=25:d=4", colour),
                     {"-f", "lavfi", "-i", "sine=d=4", "-pix_fmt", "yuv420p", "-preset", "ultrafast", "-g", "10"});
    }
    void lesson(std::string const& footage, std::string const& theme = "") const
    {
        write_text(m_folder / "lesson.json",
                   fmt::format(R"({{"tabard": 1, "title": "Lantern on the Quay", "footage": "{}", {}
 "sections": [{{"name": "Verse", "from": "0:00", "to": "0:04", "tempo": 60, "bars": "C"}}]}})",
                               footage, theme.empty() ? "" : fmt::format(R"("theme": "{}",)", theme)));
    }
    ProgramRun tabard(std::vector<std::string> words) const
    {
        words.insert(words.begin() + 1, m_folder / "lesson.json");
        words.insert(words.begin(), TABARD_PROGRAM);
        ProgramRun run = run_program(words);
        EXPECT_LE(run.exit, 1) << words[1] << ": " << run.err; // 1: findings of `check`
        return run;
    }
    /// The bytes that a command writes; `words` end in the option that names the file.
    std::string made(std::vector<std::string> words, std::string const& file, std::vector<std::string> const& more = {})
    {
        std::error_code ignored;
        fs::path const folder = m_folder / "made";
        fs::remove_all(folder, ignored);
        fs::create_directory(folder);
        words.push_back(folder / file);
        words.insert(words.end(), more.begin(), more.end());
        m_said = tabard(words).err;
        return read_text(words[0] == "publish" ? folder / file / "cover.png" : folder / file);
    }
    std::string still(std::vector<std::string> const& more = {})
    {
        return made({"still", "--at", "0:02", "-o"}, "a.png", more);
    }
    /// The keys of all groups, which stand for what is drawn on them.
    std::string keys(std::vector<std::string> more = {}) const
    {
        more.insert(more.begin(), {"render", "--plan", "--json"});
        return nlohmann::json::parse(tabard(more).out)["keys"].dump();
    }
    /// The pictures of a report.
    std::vector<std::string> thumbnails()
    {
        std::string const page = made({"check", "--report"}, "report.html");
        std::vector<std::string> pictures;
        for (std::size_t at = 0; (at = page.find("data:image/", at)) != page.npos; at += pictures.back().size())
            pictures.push_back(page.substr(at, page.find_first_of("\"')", at) - at));
        return pictures;
    }

    TemporaryFolder m_folder;
    std::string m_said;
};

TEST_F(ThemeOfAFilm, IsDarkOnAWhiteWallInEveryCommandThatDraws)
{
    EXPECT_EQ(still(), still({"--theme", "dark_card"}));
    EXPECT_NE(still(), still({"--theme", "light_card"}));
    EXPECT_EQ(keys(), keys({"--theme", "dark_card"}));
    EXPECT_NE(keys(), keys({"--theme", "light_card"}));
    EXPECT_EQ(keys(), keys({"--no-cache"}));
    EXPECT_EQ(made({"publish", "-o"}, "beside"), made({"publish", "-o"}, "beside", {"--theme", "dark_card"}));
    EXPECT_NE(made({"publish", "-o"}, "beside"), made({"publish", "-o"}, "beside", {"--theme", "light_card"}));
    for (auto const& [option, file] : {std::pair{"--switchable", "a.mkv"}, {"--draft", "a.mp4"}}) {
        std::vector<std::string> const words{"render", option, "-o"};
        std::string const chosen = made(words, file);
        EXPECT_THAT(m_said, HasSubstr(kNote)) << option;
        EXPECT_EQ(chosen, made(words, file, {"--theme", "dark_card"})) << option;
        EXPECT_THAT(m_said, Not(HasSubstr("Cards are"))) << option;
        EXPECT_NE(chosen, made(words, file, {"--theme", "light_card"})) << option;
    }
    std::vector<std::string> const track{"render", "--overlay-only", "--overlay-codec", "rle", "-o"};
    EXPECT_EQ(made(track, "a.mov"), made(track, "a.mov", {"--theme", "dark_card"}));
    auto const chosen = thumbnails();
    ASSERT_FALSE(chosen.empty());
    lesson("white.mp4", "dark_card");
    EXPECT_EQ(chosen, thumbnails());
    lesson("white.mp4", "light_card");
    EXPECT_NE(chosen, thumbnails());
}

TEST_F(ThemeOfAFilm, StaysLightInADarkRoomWithoutAWord)
{
    lesson("black.mp4");
    EXPECT_EQ(still(), still({"--theme", "light_card"}));
    EXPECT_EQ(keys(), keys({"--theme", "light_card"}));
    made({"render", "--draft", "-o"}, "a.mp4");
    EXPECT_THAT(m_said, Not(HasSubstr("Cards are")));
}

TEST_F(ThemeOfAFilm, IsTheAuthorsWhereOneIsNamed)
{
    std::string const by_option = still({"--theme", "light_card"});
    lesson("white.mp4", "light_card");
    EXPECT_EQ(still(), by_option);
    made({"render", "--draft", "-o"}, "a.mp4");
    EXPECT_THAT(m_said, Not(HasSubstr("Cards are")));
    EXPECT_NE(still({"--theme", "dark_card"}), by_option);
}

TEST_F(ThemeOfAFilm, IsThatOfTheFilmThatIsDrawnOn)
{
    write_text(m_folder / "cut.csv", "from,to\n0:00,0:04\n");
    std::vector<std::string> const through{"--through", m_folder / "cut.csv", "--footage", m_folder / "black.mp4"};
    auto const with = [&](char const* theme) {
        auto words = through;
        words.insert(words.end(), {"--theme", theme});
        return words;
    };
    EXPECT_EQ(still(through), still(with("light_card")));
    EXPECT_NE(still(through), still(with("dark_card")));
}

TEST_F(ThemeOfAFilm, IsNotLedAstrayByADamagedCache)
{
    std::string const first = still();
    for (auto const& entry : fs::directory_iterator(m_folder / "cache")) {
        std::string bytes = read_text(entry.path());
        for (std::size_t i = 40; i < bytes.size(); ++i)
            bytes[i] = 0; // all black
        write_text(entry.path(), bytes);
    }
    EXPECT_EQ(still(), first);
}

} // namespace
} // namespace tabard::tests
