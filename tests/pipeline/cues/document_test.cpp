#include "pipeline/cues/cue_document.h"
#include "pipeline/cues/json_text.h"
#include "pipeline/cues/reader.h"
#include "pipeline/cues/writer.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <string>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::pipeline {
namespace {

constexpr std::string_view kFile = R"({
  "tabard": 1,
  "note": "kept \"as\" is",
  "mystery": [1.50, -2e3, true, null, {}],
  "sections": [
    {"name": "Vers\u00e9 \ud83c\udfb8", "from": "0:12"}
  ]
}
)";

TEST(CueDocument, KnowsWhereEachValueStands)
{
    auto const document = parse_document(kFile).value();
    EXPECT_EQ(document.at, (SourcePosition{1, 1}));
    EXPECT_EQ(document.members[0].at, (SourcePosition{2, 3}));
    EXPECT_EQ(document.find("tabard")->at, (SourcePosition{2, 13}));
    EXPECT_EQ(document.find("mystery")->items[1].at, (SourcePosition{4, 21}));
    EXPECT_EQ(document.find("mystery")->items[4].at, (SourcePosition{4, 39}));
    EXPECT_EQ(document.find("sections")->items[0].find("from")->at, (SourcePosition{6, 49}));
}

TEST(CueDocument, KeepsOrderNotesUnknownKeysAndTheDigitsOfNumbers)
{
    auto const document = parse_document(kFile).value();
    std::string const text = document_text(document);
    EXPECT_EQ(parse_document(text).value(), document);
    EXPECT_NE(text.find("1.50, -2e3, true, null, {}"), std::string::npos) << text;
    EXPECT_LT(text.find("tabard"), text.find("note"));
    EXPECT_LT(text.find("note"), text.find("mystery"));
    EXPECT_EQ(document_text(parse_document(text).value()), text) << "writing what was written changes nothing";
}

TEST(CueDocument, AnEditChangesWhatItNamesAlone)
{
    auto document = parse_document(kFile).value();
    document.find("sections")->items[0].set("from", JsonValue::string("0:15.5"));
    document.set("capo", JsonValue::number(4));
    document.erase("mystery");
    std::string const text = document_text(document);
    EXPECT_NE(text.find(R"("from": "0:15.5")"), std::string::npos);
    EXPECT_EQ(text.find("mystery"), std::string::npos);
    EXPECT_NE(text.find(R"("note": "kept \"as\" is")"), std::string::npos);
    EXPECT_GT(text.find("\"capo\": 4"), text.find("sections"));
}

struct Mistake {
    char const* text;
    int line;
    int column;
    char const* says;
};

// Places counted by hand.
constexpr Mistake kMistakes[] = {
    {"", 1, 1, "the file is empty"},
    {"{\"a\": 1,\n}", 1, 8, "comma before a closing bracket"},
    {"{\"a\": 1\n \"b\": 2}", 2, 2, "comma"},
    {"{\"a\": [1, 2\n", 2, 1, "ends inside the list that begins on line 1"},
    {"{\"a\": 'x'}", 1, 7, "a single quote is not expected"},
    {"{\"a\": 1} // done", 1, 10, "no comments"},
    {"{\n  // first\n  \"a\": 1}", 2, 3, "no comments"},
    {"{\"a\": \"x\n}", 1, 7, "not closed on its line"},
    {"{\"a\": 0:12}", 1, 7, "0:12 is no number"},
    {"{\"a\": NaN}", 1, 7, "'N' is not expected"},
    {"{\"a\": 1e999}", 1, 7, "too large"},
    {"{\"a\": \xE2\x80\x9Cx\xE2\x80\x9D}", 1, 7, "'\xE2\x80\x9C' is not expected"},
    {"{\"a\" 1}", 1, 6, "has no colon"},
    {"nul", 1, 1, "not expected"},
    {"{\"a\": 1,\n , \"b\": 2}", 2, 2, "second comma"},
    {"{\"a\": [1]}]", 1, 11, "goes on after the bracket that closes it"},
    {"{\"a\": 1}{\"b\": 2}", 1, 9, "goes on after the bracket that closes it"},
    {"{\"a\": \"x\ty\"}", 1, 9, "a tab"},
    {"{\"a\": \"x\x1b[31m\"}", 1, 9, "control character U+001B"},
    {"\xEF\xBB\xBF{\"a\": }", 1, 7, "has no value"}, // after a byte order mark
    {"{\"a\": 1,\r\n\"b\" 2}", 2, 5, "has no colon"},
    {"{\"a\": \x1b}", 1, 7, "control character U+001B is not expected"},
    {"{\"a\": \"Pr\xE9lude\"}", 1, 10, "not written in UTF-8"},  // Latin-1
    {"{\"a\": \"\xED\xA0\x80\"}", 1, 8, "not written in UTF-8"}, // half of a surrogate pair
    {"{\"a\": \"\xC0\xAF\"}", 1, 8, "not written in UTF-8"},     // an overlong slash
    {"\xFF\xFE{", 1, 1, "most likely in UTF-16"},
    {"{\"a\": [1,\n 2}", 2, 3, "the list that begins on line 1 is not closed"},
    {"{\"a\": {\n \"b\": 2,\n{\"c\": 3}}", 3, 1, "the object that begins on line 1 is not closed"},
    {"[{\"a\": 2\n ]", 2, 2, "the object that begins on line 1 is not closed"},
    {"[\"a\": 2]", 1, 5, "a key stands in the list that begins on line 1"},
    {"{\"a\"}", 1, 5, "has no colon"},
    {"{\"a\":: 1}", 1, 6, "a second colon"},
    {"{\"a\": \"b\": 1}", 1, 10, "a colon follows a value"},
    {"{\"a\": .5}", 1, 7, ".5 is no number"},
    {"{\"a\": +5}", 1, 7, "+5 is no number"},
    {"{\"a\": 05}", 1, 7, "the number 05 begins with a zero"},
    {"{\"a\": 1,5}", 1, 8, "a comma stands inside a number"},
    {"{\"a\": \"\\u12\"}", 1, 8, "\\u means nothing"},
    {"{\"a\": \"\\ud800\"}", 1, 8, "half of a sign"},
    {"{\"a\": \"\\udc00\"}", 1, 8, "half of a sign"},
    {"{\"a\": \"\\ud83c\\udfb8 C:\\Users\"}", 1, 23, "\\U means nothing"},
    {"{\"a\": \"x\"y\"}", 1, 7, "a quote is missing"},
};

// What an author laid out by hand, with two keys on a line, odd spaces and line ends of another system.
constexpr std::string_view kByHand = "{\n  \"tabard\": 1,   \"title\" : \"t\\u0041\",\r\n"
                                     "  \"tempo\": 76.50, \"footage\": \"f.mp4\",\n\n"
                                     "  \"sections\": [\n    {\"name\": \"Verse\", \"from\": \"0:10\",\n"
                                     "     \"bars\": [\"C | G |\",\n              \"Am | F\"]},\n"
                                     "    {\"name\":\"End\",\"from\":\"0:30\"}\n  ]\n}\n\n";

TEST(CueDocument, WhatWasNotChangedKeepsItsForm)
{
    auto document = parse_document(kByHand).value();
    EXPECT_EQ(document_text(document, kByHand), kByHand);
    auto const expect = [&](std::string_view from, std::string_view to) {
        std::string text(kByHand);
        text.replace(text.find(from), from.size(), to);
        EXPECT_EQ(document_text(document, kByHand), text);
    };
    JsonValue& verse = document.find("sections")->items[0];
    verse.find("bars")->items[1].text = "Dm | F";
    expect("Am | F", "Dm | F");
    document = parse_document(kByHand).value();
    document.find("sections")->items[0].set("from", JsonValue::string("0:12"));
    expect("0:10", "0:12");
    document = parse_document(kByHand).value();
    document.set("tempo", JsonValue::number(80));
    expect("76.50", "80");
    document = parse_document(kByHand).value();
    document.find("sections")->items[1].erase("from");
    expect(",\"from\":\"0:30\"", "");
    document = parse_document(kByHand).value();
    document.find("sections")->items.erase(document.find("sections")->items.begin() + 1);
    expect(",\n    {\"name\":\"End\",\"from\":\"0:30\"}", "");
    document = parse_document(kByHand).value();
    std::swap(document.find("sections")->items[0], document.find("sections")->items[1]);
    EXPECT_EQ(parse_document(document_text(document, kByHand)).value(), document);
}

TEST(CueDocument, WhatIsNewAndLongStandsOnALineOfItsOwn)
{
    auto document = parse_document(kByHand).value();
    JsonValue& end = document.find("sections")->items[1];
    end.set("tempo", JsonValue::number(70));
    std::vector<JsonValue> pins;
    for (int bar = 1; bar <= 9; ++bar)
        pins.push_back(JsonValue::array(
            {JsonValue::string(std::to_string(bar) + ".1"), JsonValue::string("0:3" + std::to_string(bar) + ".125")}));
    end.set("pins", JsonValue::array(pins));
    std::string const text = document_text(document, kByHand);
    EXPECT_NE(text.find("    {\"name\":\"End\",\"from\":\"0:30\", \"tempo\": 70,\n     \"pins\": [\n       [\"1.1\", "
                        "\"0:31.125\"],\n"
                        "       [\"2.1\", \"0:32.125\"],"),
              std::string::npos)
        << text;
    EXPECT_EQ(parse_document(text).value(), document);
}

TEST(CueDocument, WhatWasMovedBehindTheRestStandsOnALineOfItsOwn)
{
    constexpr std::string_view kPinsFirst = "{\"sections\": [\n  {\"name\": \"A\", \"pins\": [[\"1.1\", \"0:31\"]],\n"
                                            "   \"bars\": \"C | G\"}]}\n";
    auto document = parse_document(kPinsFirst).value();
    JsonValue& section = document.find("sections")->items[0];
    section.erase("pins");
    section.set("pins", JsonValue::array({JsonValue::array({JsonValue::string("1.1"), JsonValue::string("0:32")})}));
    EXPECT_EQ(document_text(document, kPinsFirst), "{\"sections\": [\n  {\"name\": \"A\",\n   \"bars\": \"C | G\",\n"
                                                   "   \"pins\": [[\"1.1\", \"0:32\"]]}]}\n");
}

TEST(CueDocument, KeepsTheFormOfNothingWhereTheOldTextIsAnother)
{
    auto const document = parse_document(R"({"a": [1, {"b": 2}], "c": "d"})").value();
    for (std::string_view const other :
         {"", "[]", "{\"c\": [1, {\"b\": 2}], \"a\": \"d\"}", "{\"a\": [1, {\"b\": 3}], \"c\": \"d\"}"})
        EXPECT_EQ(parse_document(document_text(document, other)).value(), document) << other;
}

TEST(CueDocument, SaysWhereTheTextIsNoJsonAndWhatToDo)
{
    for (Mistake const& mistake : kMistakes) {
        SCOPED_TRACE(mistake.text);
        JsonReading const reading = read_json(mistake.text);
        ASSERT_EQ(reading.findings.size(), 1U);
        EXPECT_FALSE(reading.value);
        EXPECT_EQ(reading.findings[0].code, "not-json");
        EXPECT_EQ(fmt::format("{}:{}", reading.findings[0].at.line, reading.findings[0].at.column),
                  fmt::format("{}:{}", mistake.line, mistake.column));
        EXPECT_THAT(reading.findings[0].what, testing::HasSubstr(mistake.says));
        EXPECT_FALSE(reading.findings[0].fix.empty());
    }
}

struct Unwelcome {
    std::string text;
    char const* code;
    char const* says;
};

// The parser would take it for the end of the file, and what follows for nothing.
TEST(CueDocument, RefusesZeroBytes)
{
    std::string text = "{\"a\": 1}\n";
    text += '\0';
    JsonReading const reading = read_json(text + "rest");
    EXPECT_FALSE(reading.value);
    ASSERT_EQ(reading.findings.size(), 1U);
    EXPECT_EQ(reading.findings[0].at.line, 2);
    EXPECT_EQ(reading.findings[0].at.column, 1);
    EXPECT_THAT(reading.findings[0].what, testing::HasSubstr("U+0000"));
}

// All of these are JSON; no lesson needs them, and each would spoil the terminal or the message that shows it.
TEST(CueDocument, RefusesWhatNoLessonHolds)
{
    auto const longer = [](std::size_t than, char sign) { return std::string(than + 1, sign); };
    Unwelcome const cases[] = {
        {R"({"a": "\u001b[31m"})", "bad-value", "the control character U+001B"},
        {R"({"a": "b\u0000"})", "bad-value", "the control character U+0000"},
        {R"({"a\u0007": 1})", "bad-value", "the control character U+0007"},
        {R"({"a": "\u009b"})", "bad-value", "the control character U+009B"},
        {R"({"a": ")" + longer(kLongestText, 'x') + "\"}", "too-big", "more than 100000 characters"},
        {R"({")" + longer(kLongestName, 'k') + R"(": 1})", "too-big", "more than 2000 characters"},
        {R"({"a": 0.)" + longer(kLongestName, '1') + "}", "too-big", "has 2003 digits"},
    };
    for (auto const& [text, code, says] : cases) {
        JsonReading const reading = read_json(text);
        EXPECT_FALSE(reading.value);
        ASSERT_EQ(reading.findings.size(), 1U) << says;
        EXPECT_EQ(reading.findings[0].code, code);
        EXPECT_THAT(reading.findings[0].what, testing::HasSubstr(says));
        EXPECT_EQ(reading.findings[0].at.line, 1);
        EXPECT_FALSE(reading.findings[0].fix.empty());
    }
    EXPECT_TRUE(read_json(R"({"a": "two\nlines\tand \u00a0"})").value);
    EXPECT_TRUE(read_json(R"({"a": ")" + std::string(kLongestText, 'x') + "\"}").value);
}

TEST(CueDocument, RefusesDeepNestingButNotSixLevels)
{
    EXPECT_EQ(read_json(std::string(100'000, '[')).findings.at(0).code, "too-big");
    EXPECT_TRUE(read_json("[[[[[[1]]]]]]").value);
}

TEST(CueDocument, AByteOrderMarkDoesNotMoveColumns)
{
    EXPECT_EQ(parse_document("\xEF\xBB\xBF{\"a\": 1}").value().find("a")->at, (SourcePosition{1, 7}));
}

// A string's bytes: x stands at the quote's column + 1; \u00e9 is two bytes, the pair \ud83c\udfb8 four (UTF-8, RFC
// 3629).
TEST(CueDocument, KnowsThePlaceOfEveryByteOfAString)
{
    constexpr std::string_view text = R"("x\u00e9\ud83c\udfb8\ny")";
    std::vector<int> columns;
    for (SourcePosition const& at : string_places(text, 0, {1, 1}))
        columns.push_back(at.column);
    EXPECT_THAT(columns, testing::ElementsAre(2, 3, 3, 9, 9, 9, 9, 21, 23, 24));
    EXPECT_EQ(columns.size(), parse_document(text).value().text.size() + 1);
}

// Bytes of UTF-8 (RFC 3629): one up to U+007F, two up to U+07FF, three up to U+FFFF, four for a pair of surrogates.
TEST(CueDocument, KnowsHowManyBytesAnEscapeStandsFor)
{
    auto const bytes = [](std::string const& escape) {
        return string_places('"' + escape + '"', 0, {1, 1}).size() - 1;
    };
    for (char const* one : {"\\u0000", "\\u007f", "\\u007F", "\\n", "\\\\", "\\\"", "u"})
        EXPECT_EQ(bytes(one), 1U) << one;
    for (char const* two : {"\\u0080", "\\u07ff"})
        EXPECT_EQ(bytes(two), 2U) << two;
    for (char const* three : {"\\u0800", "\\ud7ff", "\\ue000", "\\uFFFF"})
        EXPECT_EQ(bytes(three), 3U) << three;
    for (char const* four : {"\\ud800\\udc00", "\\uDBFF\\uDFFF"})
        EXPECT_EQ(bytes(four), 4U) << four;
}

// `  "k": ["` and `"]` are eleven signs.
TEST(CueDocument, AListStaysOnALineOfAHundredAndTenSigns)
{
    auto const lines = [](std::size_t length) {
        JsonValue const list = JsonValue::array({JsonValue::string(std::string(length, 'x'))});
        std::string const text = document_text(JsonValue::object({{"k", list, {}}}));
        return std::ranges::count(text, '\n');
    };
    EXPECT_EQ(lines(99), 3);
    EXPECT_EQ(lines(100), 5);
}

TEST(CueFileOnDisk, IsReadAgainAsItWasWritten)
{
    tests::TemporaryFolder const folder;
    tests::write_text(folder / "cues.json", document_text(parse_document(kFile).value()));
    EXPECT_EQ(read_document(folder / "cues.json"), parse_document(kFile));
    EXPECT_EQ(read_document(folder / "missing.json").error().kind, ErrorKind::not_found);
    EXPECT_EQ(read_document(folder.path()).error().kind, ErrorKind::invalid_input);
}

rc::Gen<JsonValue> any_value(int depth)
{
    // Other control characters are refused.
    auto const sign = rc::gen::oneOf(rc::gen::inRange<char>(32, 127), rc::gen::element('\n', '\r', '\t'));
    auto const text = rc::gen::map(rc::gen::container<std::string>(sign),
                                   [](std::string content) { return JsonValue::string(std::move(content)); });
    auto const number = rc::gen::map(rc::gen::arbitrary<std::int64_t>(), &JsonValue::number);
    if (depth == 0)
        return rc::gen::oneOf(text, number);
    auto const list = rc::gen::map(rc::gen::container<std::vector<JsonValue>>(any_value(depth - 1)), &JsonValue::array);
    auto const object = rc::gen::map(rc::gen::container<std::vector<JsonValue>>(any_value(depth - 1)),
                                     [](std::vector<JsonValue> values) {
                                         JsonValue result = JsonValue::object({});
                                         for (JsonValue& value : values)
                                             result.set(fmt::format("k{}", result.members.size()), std::move(value));
                                         return result;
                                     });
    return rc::gen::oneOf(text, number, list, object);
}

RC_GTEST_PROP(CueDocument, ReadingInvertsWriting, ())
{
    JsonValue const value = *rc::gen::noShrink(rc::gen::resize(8, any_value(3)));
    RC_ASSERT(parse_document(document_text(value)).value() == value);
}

// A changed document is read like a file, and what is wrong in it is found where the old file has it.
TEST(CueDocument, IsReadAgainAfterAChange)
{
    std::string const text =
        "{\n  \"tabard\": 1, \"title\": \"t\", \"footage\": \"f.mp4\", \"tempo\": 60,\n"
        "  \"sections\": [\n    {\"name\": \"Verse\", \"from\": \"0:10\", \"bars\": \"C | C D E\"}\n  ]\n}\n";
    auto document = parse_document(text).value();
    document.find("sections")->items[0].set("from", JsonValue::string("0:20"));
    document.find("sections")->items[0].set("strum", JsonValue::string("none of ours"));
    auto const reading = lesson_of_document(document, text, "lesson.json");
    EXPECT_EQ(**reading.lesson->sections[0].from, from_ticks(20, 1, 1));
    ASSERT_EQ(reading.findings.size(), 2U);
    EXPECT_EQ(reading.findings[0].code, "unknown-strum");
    EXPECT_EQ(reading.findings[1].at, parse_lesson(text, "lesson.json").findings.at(0).at);
    EXPECT_EQ(reading.findings[1].at.line, 4);
}

// What a program puts in has no place unless it is given one.
TEST(CueDocument, ATextThatWasPutInLaterIsFoundWhereItsValueIs)
{
    std::string const text = R"({"tabard": 1, "title": "t", "footage": "f.mp4", "tempo": 60,
  "sections": [{"name": "Verse", "from": "0:10", "bars": "C"}]})";
    for (SourcePosition const at : {SourcePosition{}, SourcePosition{2, 50}, SourcePosition{99, 1}}) {
        auto document = parse_document(text).value();
        JsonValue bars = JsonValue::string("C | C D E | Am");
        bars.at = at;
        document.find("sections")->items[0].set("bars", bars);
        auto const reading = lesson_of_document(document, text, "lesson.json");
        ASSERT_EQ(reading.findings.size(), 1U);
        EXPECT_EQ(reading.findings[0].code, "beats-in-bar");
        EXPECT_EQ(reading.findings[0].at, at);
    }
}

} // namespace
} // namespace tabard::pipeline
