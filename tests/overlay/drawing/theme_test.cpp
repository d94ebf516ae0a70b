#include "overlay/drawing/theme.h"
#include "tests/support/paths.h"

#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

using testing::HasSubstr;

std::string read(std::filesystem::path const& path)
{
    std::ostringstream text;
    text << std::ifstream(path).rdbuf();
    return text.str();
}

std::filesystem::path const kThemes = tests::source_folder() / "templates/themes";

TEST(Theme, EveryThemeThatComesWithTabardCanBeReadAndIsLegible)
{
    int themes = 0;
    for (auto const& file : std::filesystem::directory_iterator(kThemes)) {
        SCOPED_TRACE(file.path());
        auto const theme = parse_theme(read(file.path()));
        ASSERT_TRUE(theme) << theme.error().what;
        EXPECT_GE(lowest_text_contrast(*theme), 4.5); // WCAG 2.x, success criterion 1.4.3
        for (auto const part : {&Theme::line, &Theme::string, &Theme::edge, &Theme::capo, &Theme::dot})
            EXPECT_GE(contrast_ratio((*theme).*part, theme->card), 3); // success criterion 1.4.11
        EXPECT_EQ(theme->card.alpha, 255) << "nothing shines through";
        ++themes;
    }
    EXPECT_GE(themes, 2);
}

TEST(Theme, TheDefaultIsTheLightCardFile)
{
    EXPECT_EQ(*parse_theme(read(kThemes / "light_card.json")), default_theme());
}

TEST(Theme, KeysThatAreLeftOutKeepTheirDefault)
{
    Theme expected = default_theme();
    expected.name = "Mine";
    expected.accent = {0x00, 0x5A, 0x8C};
    EXPECT_EQ(*parse_theme(R"({"tabard_theme": 1, "name": "Mine", "note": "x", "colours": {"accent": "#005A8C"}})"),
              expected);
}

struct Refusal {
    char const* json;
    char const* says;
};
constexpr Refusal kRefusals[] = {
    {"", "the file is empty"},
    {"[]", "JSON"},
    {"{}", "tabard_theme"},
    {R"({"tabard_theme": 2})", "tabard_theme"},
    {R"({"tabard_theme": 1, "font": ""})", "font"},
    {R"({"tabard_theme": 1, "font": "Inter", "font": "Inter"})", "twice"},
    {R"({"tabard_theme": 1, "corner_radius": -1})", "corner_radius"},
    {R"({"tabard_theme": 1, "shadow": 3})", "shadow"},
    {R"({"tabard_theme": 1, "colours": 3})", "colours"},
    {R"({"tabard_theme": 1, "colours": {"inkk": "#000000"}})", "inkk"},
    {R"({"tabard_theme": 1, "colours": {"ink": "black"}})", "ink"},
    {R"({"tabard_theme": 1, "colours": {"ink": 0}})", "ink"},
    // #777777 on white has 4.4781:1 (WCAG arithmetic), just too little.
    {R"({"tabard_theme": 1, "colours": {"card": "#FFFFFF", "soft_ink": "#777777"}})", "soft_ink"},
    // Half of #777777 is #3C3C3C over black and #BBBBBB over white; #5C574E has 1.54:1 and 3.74:1 there (WCAG
    // arithmetic).
    {R"({"tabard_theme": 1, "colours": {"card": "#77777780"}})", "contrast"},
};

TEST(Theme, SaysWhichKeyIsWrong)
{
    for (auto const& refusal : kRefusals) {
        auto const theme = parse_theme(refusal.json);
        ASSERT_FALSE(theme) << refusal.json;
        EXPECT_THAT(theme.error().what, HasSubstr(refusal.says));
        EXPECT_EQ(theme.error().kind, ErrorKind::invalid_input);
    }
}

// A white card of a third is #555555 over black, where the soft ink #5C574E cannot be read, and white over white.
TEST(Theme, MayLetFootageThroughIfItIsLegibleOverSome)
{
    auto const glass = parse_theme(R"({"tabard_theme": 1, "colours": {"card": "#FFFFFF55"}})");
    ASSERT_TRUE(glass) << glass.error().what;
    EXPECT_LT(lowest_text_contrast(*glass), 1.5);
    // #767676 has 4.54:1 to white and 4.62:1 to black, and none to itself.
    Theme grey;
    grey.card = {0, 0, 0, 0};
    grey.ink = grey.soft_ink = grey.accent = {0x76, 0x76, 0x76};
    EXPECT_NEAR(lowest_text_contrast(grey), 1, 1e-9);
}

} // namespace
} // namespace tabard::overlay
