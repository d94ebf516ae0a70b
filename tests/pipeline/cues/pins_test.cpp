#include "pipeline/cues/cue_document.h"
#include "pipeline/cues/pin_text.h"
#include "pipeline/cues/reader.h"
#include "pipeline/cues/writer.h"
#include "pipeline/time/timecode.h"

#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::HasSubstr;

/// A part of eight bars with these pins.
std::string lesson_with(std::string_view pins)
{
    return fmt::format(R"({{"tabard": 1, "title": "t", "footage": "f.mp4", "made_for": {{"rate": "25"}}, "sections": [
{{"name": "Verse", "from": "0:20", "bars": "|: C | G | Am | F :|", "tempo": 80,
"pins": {}}}]}})",
                       pins);
}

std::vector<Pin> pins_of(std::string_view pins)
{
    auto const reading = parse_lesson(lesson_with(pins), "cues.json");
    for (Finding const& finding : reading.findings)
        ADD_FAILURE() << finding.at.column << ": " << finding.what;
    return reading.lesson->sections.at(0).pins;
}

Time time(std::string_view text) { return parse_time(text).value(); }

TEST(Pins, SayWhereThePlayingStopsAndGoesOn)
{
    auto const pins = pins_of(R"([["1.1", "0:30"], ["2.3", "0:37.0 to 0:43.6"], ["5.1 to 7.1", "0:50"],
["8.1 to 8.2+1/3", "0:00:55:05 to 0:00:58:00"]])");
    ASSERT_EQ(pins.size(), 4U);
    EXPECT_FALSE(pins[0].goes_on);
    ASSERT_TRUE(pins[1].goes_on);
    EXPECT_EQ(pins[1].position, (BarPosition{2, 3, 0}));
    EXPECT_EQ(pins[1].goes_on->position, (BarPosition{2, 3, 0})) << "a pause goes on where it stopped";
    EXPECT_EQ(pins[1].time, time("0:37"));
    EXPECT_EQ(pins[1].goes_on->time, time("0:43.6"));
    ASSERT_TRUE(pins[2].goes_on);
    EXPECT_EQ(pins[2].goes_on->position, (BarPosition{7, 1, 0}));
    EXPECT_EQ(pins[2].goes_on->time, time("0:50")) << "a skip takes no time";
    ASSERT_TRUE(pins[3].goes_on);
    EXPECT_EQ(pins[3].goes_on->position, (BarPosition{8, 2, kTicksPerBeat / 3}));
    EXPECT_EQ(pins[3].time, time("0:55.2")) << "five frames at 25 a second";
    EXPECT_EQ(pins[3].goes_on->time, time("0:58"));
}

TEST(Pins, AreWrittenAsTheyAreRead)
{
    for (std::string_view const written : {R"(["1.1", "0:30"])", R"(["5.1", "0:37 to 0:43.6"])",
                                           R"(["5.1 to 7.1", "0:37"])", R"(["5.1 to 7.2+1/2", "-0:03 to 0:43.6"])"}) {
        auto const pins = pins_of(fmt::format("[{}]", written));
        ASSERT_EQ(pins.size(), 1U) << written;
        JsonValue const value = pin_value(pins[0]);
        ASSERT_EQ(value.items.size(), 2U);
        EXPECT_EQ(fmt::format(R"(["{}", "{}"])", value.items[0].text, value.items[1].text), written);
    }
}

TEST(Pins, KeepTheAuthorsForm)
{
    std::string const text = lesson_with(R"([["1", 30], ["5  to 7.1", "0:00:37:00  to 43.60"]])");
    JsonValue document = parse_document(text).value();
    document.set("title", JsonValue::string("u"));
    std::string changed = text;
    changed.replace(changed.find("\"t\""), 3, "\"u\"");
    EXPECT_EQ(document_text(document, text), changed);
}

struct Wrong {
    std::string_view pins;
    std::string_view code;
    std::string_view what; ///< part of what is said
    std::string_view fix;  ///< part of what to do
};

constexpr Wrong kWrong[] = {
    {R"([["5.1", "0:43 to 0:37"]])", "bad-pin", "ends before it begins", R"(write "0:37 to 0:43")"},
    {R"([["5.1", "0:43 to 0:43.0"]])", "bad-pin", "no length", R"(write "0:43")"},
    {R"([["5.1", "0:43 to"]])", "bad-time", "'0:43 to'", ""},
    {R"([["5.1", "0:43 to "]])", "bad-time", "''", ""},
    {R"([["5.1", "0:37 to 0:40 to 0:43"]])", "bad-time", "'0:40 to 0:43'", ""},
    {R"([["5.1", "0:37 to 0:7"]])", "bad-time", "'0:7'", ""},
    {R"([["5.1", "0:37 to 43,6"]])", "bad-time", "'43,6'", R"(write "0:37 to 0:43.6")"},
    {R"([["5.1", "37,5 to 0:43"]])", "bad-time", "'37,5'", R"(write "0:37.5 to 0:43")"},
    {R"([["5.1", "0:37 - 0:43.6"]])", "bad-time", "'0:37 - 0:43.6'",
     R"(write "0:37 to 0:43.6" where the playing stops)"},
    {R"([["5.1", "0:37 until 0:43.6"]])", "bad-time", "until", R"(write "0:37 to 0:43.6")"},
    {R"([["5.1", "0:37\u20130:43"]])", "bad-time", "", R"(write "0:37 to 0:43")"},
    {R"([["5.1", "0:37to0:43"]])", "bad-time", "", R"(write "0:37 to 0:43")"},
    {R"([["5.1", "0:37 TO 0:43"]])", "bad-time", "", R"(write "0:37 to 0:43")"},
    {R"([["5.1", "0:37", "0:43.6"]])", "bad-pin", "a list of two", R"(write ["5.1", "0:37 to 0:43.6"])"},
    {R"([["5.1", ["0:37", "0:43.6"]]])", "wrong-type", "a list", ""},
    {R"([[["5.1", "7.1"], "0:37"]])", "bad-pin", "", "write bar and beat"},
    {R"([["7.1 to 5.1", "0:37"]])", "bad-pin", "cannot go back from 7.1 to 5.1",
     R"(["5.1", "first time to last time"])"},
    {R"([["5.1 to 5", "0:37"]])", "bad-pin", "skips nothing", R"(write "5.1")"},
    {R"([["5.1 to 5.5", "0:37"]])", "bad-pin", "no beat 5 in 4/4", ""},
    {R"([["5.1 to", "0:37"]])", "bad-pin", "'5.1 to'", ""},
    {R"([["5.1-7.1", "0:37"]])", "bad-pin", "'5.1-7.1'", R"(write "5.1 to 7.1" where the bars between are skipped)"},
    {R"([["5.1 to 9.2", "0:37"]])", "bad-pin", "8 bars", "9.1"},
    {R"([["5.1 to 7.1", "0:37"], ["6.1", "0:40"]])", "pin-order", "among the bars that pin 5.1 skips", "after 7.1"},
    {R"([["5.1 to 7.1", "0:37"], ["7.1", "0:40"]])", "pin-order", "(5.1 to 7.1)", "after 7.1"},
    {R"([["5.1", "0:37 to 0:43"], ["6.1", "0:40"]])", "pin-order", "in the pause of pin 5.1 (0:37 to 0:43)",
     "after 0:43, or end that pause before 0:40"},
    {R"([["5.1", "0:37 to 0:43"], ["6.1", "0:43"]])", "pin-order", "in the pause", "after 0:43"},
    {R"([["5.1", "0:37 to 0:43"], ["5.1", "0:44"]])", "pin-order", "does not come after", ""},
    {R"([["5.1", "0:37 to 0:43"], ["6.1", "0:36"]])", "pin-order", "does not come after", ""},
};

TEST(Pins, ThatMakeNoSenseAreNamedWithWhatToWrite)
{
    for (Wrong const& wrong : kWrong) {
        SCOPED_TRACE(wrong.pins);
        auto const reading = parse_lesson(lesson_with(wrong.pins), "cues.json");
        ASSERT_EQ(reading.findings.size(), 1U);
        Finding const& finding = reading.findings[0];
        EXPECT_EQ(finding.severity, Severity::error);
        EXPECT_EQ(finding.code, wrong.code);
        EXPECT_EQ(finding.at.line, 3);
        EXPECT_THAT(finding.what, HasSubstr(std::string(wrong.what)));
        EXPECT_THAT(finding.fix, HasSubstr(std::string(wrong.fix)));
        EXPECT_FALSE(finding.fix.empty());
    }
}

// The end of the chart is a place to skip to: the part is left early.
TEST(Pins, MaySkipToTheEnd) { EXPECT_EQ(pins_of(R"([["7.1 to 9.1", "0:37"]])").size(), 1U); }

} // namespace
} // namespace tabard::pipeline
