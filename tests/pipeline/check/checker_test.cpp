#include "pipeline/cues/reader.h"
#include "tests/pipeline/check/checked_file.h"

#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

std::string lesson(std::string_view sections, std::string_view more = "")
{
    return fmt::format(R"({{"tabard": 1, "title": "Lantern", "footage": "f.mp4", "capo": 4, "key": "E", "tempo": 60, {}
"sections": [
{}
]}})",
                       more, sections);
}

constexpr std::string_view kTwoForeign = R"({"name": "Verse", "from": 10, "bars": "C | Fm | G | Fm"},
{"name": "Bridge", "from": 40, "bars": "C | Abm | G"})";

TEST(Checker, OrdersFindingsByTheFilmWhateverTheFileSays)
{
    auto const result =
        checked_text(lesson(R"({"name": "B", "from": 60, "to": 70, "show": [{"chord": "Xyz", "from": 61}]},
{"name": "A", "from": 10, "to": 20, "colour": 1, "show": [{"chord": "Qrs", "from": 11}]})"));
    EXPECT_THAT(codes_of(result), ElementsAre("section-order", "unknown-key", "unknown-chord", "unknown-chord"));
    EXPECT_EQ(result.findings[2].section, "A");
}

TEST(Checker, FoldsWhatSaysTheSameInOtherPlaces)
{
    auto const result = checked_text(lesson(R"({"name": "V", "from": 10, "bars": "C | Gibb | C | Gibb | C | Gibb"})"));
    ASSERT_EQ(result.findings.size(), 1U);
    EXPECT_EQ(result.findings[0].more, 2);
    EXPECT_EQ(result.errors, 3);
}

TEST(Checker, TakesOutWhatTheAuthorAccepts)
{
    auto const result =
        checked_text(lesson(kTwoForeign, R"("accept": [{"code": "foreign-chord", "reason": "minor"}],)"));
    EXPECT_THAT(result.findings, IsEmpty());
    ASSERT_EQ(result.accepted.size(), 2U);
    EXPECT_EQ(result.accepted[0].reason, "minor");
}

TEST(Checker, AcceptsInOneSectionAlone)
{
    auto const result = checked_text(
        lesson(kTwoForeign, R"("accept": [{"code": "foreign-chord", "reason": "minor", "section": "Bridge"}],)"));
    ASSERT_EQ(result.findings.size(), 1U);
    EXPECT_EQ(result.findings[0].section, "Verse");
}

TEST(Checker, ReportsAnAcceptanceThatNothingNeeds)
{
    EXPECT_THAT(codes_of(checked_text(lesson(R"({"name": "V", "from": 10, "bars": "C"})",
                                             R"("accept": [{"code": "foreign-chord", "reason": "minor"}],)"))),
                ElementsAre("stale-accept"));
    EXPECT_THAT(codes_of(checked_text(lesson(
                    kTwoForeign, R"("accept": [{"code": "foreign-chord", "reason": "minor", "section": "Vers"}],)"))),
                ElementsAre("stale-accept", "foreign-chord", "foreign-chord"));
}

TEST(Checker, SaysWhatAnAcceptanceOfNoCodeMayHaveMeant)
{
    auto const misspelt = checked_text(lesson(R"({"name": "V", "from": 10, "bars": "C"})",
                                              R"("accept": [{"code": "foreing-chord", "reason": "m"}],)"));
    ASSERT_THAT(codes_of(misspelt), ElementsAre("stale-accept"));
    EXPECT_EQ(misspelt.findings[0].finding.what, "no finding has the code 'foreing-chord'");
    EXPECT_EQ(misspelt.findings[0].finding.fix, "did you mean 'foreign-chord'?");
}

// Without pictures nobody can say that hands are covered no more.
TEST(Checker, AnAcceptanceIsStaleOnlyWhereSomebodyLooked)
{
    EXPECT_THAT(codes_of(checked_text(lesson(
                    R"({"name": "V", "from": 10, "bars": "C"})",
                    R"("accept": [{"code": "covers-hands", "reason": "m"}, {"code": "loudness", "reason": "m"}],)"))),
                IsEmpty());
}

TEST(Checker, JoinsWhatIsFoundElsewhere)
{
    static constexpr FindingCode kOther[]{{"off-sound", Severity::warning, "A title.", "An explanation."}};
    auto const reading = parse_lesson(lesson(R"({"name": "V", "from": 10, "bars": "C"},
{"name": "W", "from": 20, "bars": "C"})",
                                             R"("accept": [{"code": "off-sound", "reason": "m", "section": "W"}],)"),
                                      "lesson.json");
    FilmFacts film;
    film.media = {Time{0}, Time{120 * kFlicksPerSecond}, {25, 1}};
    auto const timeline = Timeline::resolve(*reading.lesson, film.media);
    CheckInput const input{*reading.lesson, timeline, &film};
    OtherFindings others{kOther, true, {}};
    for (Section const& section : reading.lesson->sections)
        others.findings.push_back(kOther[0].at(section.at, section.from->value, "what", "fix"));
    auto const result = check_lesson(input, reading.findings, others);
    EXPECT_THAT(codes_of(result), ElementsAre("off-sound"));
    EXPECT_EQ(result.findings[0].section, "V");
    ASSERT_EQ(result.accepted.size(), 1U);
    EXPECT_THAT(codes_of(check_lesson(input, reading.findings, {kOther, true, {}})), ElementsAre("stale-accept"));
    EXPECT_THAT(codes_of(check_lesson(input, reading.findings, {kOther, false, {}})), IsEmpty()) << "nobody looked";
}

// A file that cannot be understood is not made sound by a wish.
TEST(Checker, DoesNotAcceptWhatTheReaderRefuses)
{
    auto const result = checked_text(lesson(R"({"name": "V", "from": 10, "bars": "C G F"})",
                                            R"("accept": [{"code": "beats-in-bar", "reason": "rubato"}],)"));
    EXPECT_THAT(codes_of(result), ElementsAre("stale-accept", "beats-in-bar"));
}

TEST(Checker, StrictMakesErrorsOfWarningsAndLeavesAdvice)
{
    auto const text = lesson(R"({"name": "V", "from": 10, "colour": 1, "bars": "C | Fm | G | C"})");
    auto const plain = checked_text(text);
    EXPECT_EQ(plain.errors, 0);
    EXPECT_EQ(plain.warnings, 1);
    auto const strict = checked_text(text, {true});
    EXPECT_EQ(strict.errors, 1);
    EXPECT_EQ(strict.warnings, 0);
    EXPECT_EQ(strict.advice, 1);
}

/// A part whose chords were annotated one line each, from `begins[i]` to `ends[i]` in seconds.
std::string annotated(std::vector<double> const& begins, std::vector<double> const& ends)
{
    static constexpr char const* kChords[] = {"C", "G", "Am", "F"};
    std::string cues;
    for (std::size_t i = 0; i < begins.size(); ++i)
        cues += fmt::format("{}{{\"chord\": \"{}\", \"from\": {:.6f}, \"to\": {:.6f}}}", i ? "," : "", kChords[i % 4],
                            begins[i], ends[i]);
    return lesson(fmt::format(R"({{"name": "Part", "from": {:.6f}, "to": {:.6f}, "show": [{}]}})", begins.front(),
                              ends.back(), cues));
}

// Times as chord annotations have them: each line begins where the one before ends, to the microsecond.
TEST(Coverage, FindsEachLineThatIsTakenOutAndEachThatIsTooLong)
{
    std::vector<double> begins;
    std::vector<double> ends;
    double time = 3.141593;
    for (int i = 0; i < 24; ++i) {
        begins.push_back(time);
        time += 1.9 + 0.37 * (i * 7 % 5);
        ends.push_back(time);
    }
    EXPECT_THAT(codes_of(checked_text(annotated(begins, ends))), IsEmpty());
    for (std::size_t line = 1; line + 1 < begins.size(); ++line) {
        auto fewer_begins = begins;
        auto fewer_ends = ends;
        fewer_begins.erase(fewer_begins.begin() + static_cast<std::ptrdiff_t>(line));
        fewer_ends.erase(fewer_ends.begin() + static_cast<std::ptrdiff_t>(line));
        ASSERT_THAT(codes_of(checked_text(annotated(fewer_begins, fewer_ends))), ElementsAre("chord-gap")) << line;
        auto longer = ends;
        longer[line] += 0.5;
        ASSERT_THAT(codes_of(checked_text(annotated(begins, longer))), ElementsAre("cue-overlap")) << line;
    }
}

TEST(Coverage, ATalkMayPauseBetweenItsChords)
{
    EXPECT_THAT(codes_of(checked_text(annotated({2, 6, 10, 14, 18}, {4, 8, 12, 16, 20}))), IsEmpty());
}

} // namespace
} // namespace tabard::pipeline
