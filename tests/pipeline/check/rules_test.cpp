#include "pipeline/check/formats.h"
#include "tests/pipeline/check/checked_file.h"
#include "tests/support/paths.h"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <sstream>
#include <string>
#include <string_view>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

std::filesystem::path const kSource = tests::source_folder();
std::filesystem::path const kPairs = kSource / "tests/data/check";

std::string content(std::filesystem::path const& path)
{
    std::ifstream file(path);
    return (std::stringstream() << file.rdbuf()).str();
}

std::string all(CheckResult const& result) { return gnu_text(result, "cues.json"); }

class EachRule : public testing::TestWithParam<Rule const*> {};

// Rules that look at pictures have their pairs as films, in tests of their own.
TEST_P(EachRule, FindsItsMistakeOnceAndNothingInTheNeighbour)
{
    if (GetParam()->looks_at_pictures)
        GTEST_SKIP() << "a pair of films, see picture_rules_test.cpp";
    std::string const code(GetParam()->code);
    auto const bad = checked_file(kPairs / code / "bad.json");
    EXPECT_THAT(codes_of(bad), ElementsAre(code)) << all(bad);
    ASSERT_FALSE(bad.findings.empty());
    EXPECT_EQ(bad.findings[0].finding.severity, GetParam()->severity);
    EXPECT_GT(bad.findings[0].finding.at.line, 0);
    EXPECT_FALSE(bad.findings[0].finding.fix.empty());
    auto const good = checked_file(kPairs / code / "good.json");
    EXPECT_THAT(codes_of(good), IsEmpty()) << all(good);
}

TEST_P(EachRule, HasWordsForPeople)
{
    EXPECT_GT(GetParam()->title.size(), 10U);
    EXPECT_GT(GetParam()->explanation.size(), 30U);
    EXPECT_TRUE(GetParam()->explanation.ends_with(".")) << "whole sentences";
    EXPECT_EQ(GetParam()->code.find_first_not_of("abcdefghijklmnopqrstuvwxyz-"), std::string_view::npos);
}

TEST_P(EachRule, HasARowInTheTable)
{
    auto const row =
        fmt::format("| `{}` | {} | {} |", GetParam()->code, severity_name(GetParam()->severity), GetParam()->title);
    EXPECT_NE(content(kSource / "pipeline/check/README.md").find(row), std::string::npos) << row;
}

INSTANTIATE_TEST_SUITE_P(Rules, EachRule, testing::ValuesIn(all_rules().begin(), all_rules().end()),
                         [](auto const& rule) {
                             std::string name(rule.param->code);
                             std::ranges::replace(name, '-', '_');
                             return name;
                         });

TEST(Rules, HaveCodesOfTheirOwnAndNoPairIsLeftOver)
{
    std::set<std::string> codes;
    for (Rule const* rule : all_rules())
        EXPECT_TRUE(codes.emplace(rule->code).second) << rule->code;
    for (auto const& folder : std::filesystem::directory_iterator(kPairs))
        EXPECT_TRUE(!folder.is_directory() || codes.contains(folder.path().filename().string())) << folder.path();
}

// A lesson in which everything is wrong. What makes the reader or other rules fall silent (a file that is no JSON, a
// film that is missing, a key that is wrong) stands in files beside it.
TEST(BadLesson, ShowsEveryCodeOnce)
{
    std::map<std::string, int> seen;
    for (auto const& entry : std::filesystem::directory_iterator(kSource / "tests/data/bad_lesson")) {
        if (entry.path().extension() != ".json" || entry.path().string().ends_with(".film.json"))
            continue;
        for (FoldedFinding const& folded : checked_file(entry.path()).findings)
            ++seen[folded.finding.code];
    }
    for (Rule const* rule : all_rules()) {
        EXPECT_EQ(seen[std::string(rule->code)], rule->looks_at_pictures ? 0 : 1) << rule->code;
    }
}

// The name of a shape is the author's and may end in brackets: its time is that of its own chord, not of another whose
// name begins alike.
TEST(ShapeRules, SayWhenTheChordOfThatVeryNameIsFirstShown)
{
    auto const result = checked_text(R"json({"tabard": 1, "title": "t", "footage": "lantern.mp4",
  "shapes": {"G": "320003", "G (wide)": "1xxxx9"},
  "sections": [{"name": "Talk", "from": "0:00", "to": "0:30",
    "show": [{"chord": "G", "from": "0:05"}, {"chord": "G (wide)", "from": "0:20"}]}]})json");
    auto const found = std::ranges::find(result.findings, "unreachable",
                                         [](FoldedFinding const& folded) { return folded.finding.code; });
    ASSERT_NE(found, result.findings.end()) << all(result);
    EXPECT_THAT(found->finding.what, testing::HasSubstr("'G (wide)'"));
    EXPECT_EQ(found->finding.time, from_seconds(20));
}

TEST(ChordRules, ANameOfAnotherLanguageIsToldWithTheKeyThatReadsIt)
{
    auto const lesson = [](std::string_view more) {
        return checked_text(R"json({"tabard": 1, "title": "t", "footage": "lantern.mp4", "tempo": 60,)json" +
                            std::string(more) + R"json(
  "sections": [{"name": "Verse", "from": "0:10", "bars": "Fis | H | N.C. | Cis"}]})json");
    };
    auto const english = lesson("");
    auto const found = std::ranges::find(english.findings, "unknown-chord",
                                         [](FoldedFinding const& folded) { return folded.finding.code; });
    ASSERT_NE(found, english.findings.end()) << all(english);
    EXPECT_THAT(found->finding.what, testing::HasSubstr("as a German name it is \"F#\""));
    EXPECT_EQ(found->finding.fix, "correct the name, or write \"names\": \"german\" at the top of the file if all its "
                                  "names are so (B is B flat then)");
    auto const codes = codes_of(lesson(R"("names": "german",)"));
    EXPECT_EQ(std::ranges::count(codes, "unknown-chord"), 0);
    EXPECT_EQ(std::ranges::count(codes, "no-shape"), 0) << "N.C. needs none";
}

// A chord that rests has no shape, and lacks none.
TEST(ChordRules, NoChordLacksNoShape)
{
    auto const result = checked_text(R"json({"tabard": 1, "title": "t", "footage": "lantern.mp4",
  "sections": [{"name": "Talk", "from": "0:00", "to": "0:30",
    "show": [{"chord": "N.C.", "from": "0:05"}, {"chord": "C", "from": "0:20"}]}]})json");
    EXPECT_EQ(std::ranges::count(codes_of(result), "no-shape"), 0) << all(result);
}

TEST(DemoLesson, HasNothingToMend)
{
    auto const result = checked_file(kSource / "sample_media/lantern.json");
    EXPECT_THAT(codes_of(result), IsEmpty()) << all(result);
}

} // namespace
} // namespace tabard::pipeline
