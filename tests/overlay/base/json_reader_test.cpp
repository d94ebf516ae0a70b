#include "overlay/base/json_reader.h"

#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tabard {
namespace {

using testing::HasSubstr;

std::string error_of(std::string const& text, JsonLimits const& limits = {})
{
    auto const value = parse_json(text, limits);
    return value ? "" : value.error().what;
}

TEST(JsonReader, ReadsWhatTheStandardAllows)
{
    auto const value = *parse_json("\uFEFF{\"b\": [1, -2.5e3, true, null, \"F\\u266f\"], \"a\": {\"b\": {}}}\n");
    EXPECT_EQ(value.dump(), R"({"b":[1,-2500.0,true,null,"F♯"],"a":{"b":{}}})"); // in the order of the text
    EXPECT_EQ(parse_json("3")->get<int>(), 3);
}

// RFC 8259, section 4: names within an object should be unique; programs differ in which of two they take.
TEST(JsonReader, RefusesAMemberThatStandsTwice)
{
    EXPECT_EQ(error_of("{\"a\": 1,\n \"a\": 2}"),
              "line 2, column 2: \"a\" stands twice in this object; take one of the two away");
    EXPECT_EQ(error_of(R"({"a": 1, "b": {"a": 2}, "c": [{"a": 1}, {"a": 1}]})"), "");
}

TEST(JsonReader, SaysWhereAndWhatIsWrong)
{
    EXPECT_THAT(error_of("{\"a\": 1,}"), HasSubstr("line 1, column 8: there is a comma before a closing bracket"));
    EXPECT_THAT(error_of(""), HasSubstr("the file is empty"));
    EXPECT_THAT(error_of("\"Pr\xE9lude\""), HasSubstr("line 1, column 4: this character is not written in UTF-8"));
    EXPECT_THAT(error_of("[1] 2"), HasSubstr("goes on after"));
    EXPECT_THAT(error_of("[NaN]"), HasSubstr("NaN and Infinity are no JSON numbers"));
}

// RFC 8259, section 6: leading zeros are not allowed, nor is anything but a comma or a bracket after a number.
TEST(JsonReader, RefusesNumbersThatGoOnAsNoNumberDoes)
{
    for (char const* text : {"[005]", "[0-]", "[1-2]", "[0.5.3]", "[1e5e6]", "[-]", "[1.]", "{\"a\": 005A\"}"})
        EXPECT_THAT(error_of(text), HasSubstr("line 1, column ")) << text;
    EXPECT_EQ(parse_json("[0, -0, 1.5e+3, 10]")->dump(), "[0,0,1500.0,10]");
}

TEST(JsonReader, KeepsItsLimits)
{
    EXPECT_THAT(error_of(std::string(100'000, '[')), HasSubstr("nested more than 200 deep"));
    EXPECT_THAT(error_of("[1, 2, 3]", {.values = 3}), HasSubstr("more than 3 values"));
    EXPECT_EQ(error_of("[1, 2]", {.values = 3}), "");
    EXPECT_THAT(error_of("[\"abcd\"]", {.text = 3}), HasSubstr("more than 3 characters"));
    EXPECT_THAT(error_of("{\"abcd\": 1}", {.name = 3}), HasSubstr("more than 3 characters"));
    EXPECT_THAT(error_of("[" + std::string(2 << 20, ' ') + "]", {.bytes = 1 << 20}), HasSubstr("larger than 1 MiB"));
    EXPECT_THAT(error_of(R"(["\u001b[2J"])"), HasSubstr("U+001B"));
    EXPECT_EQ(error_of(R"(["\u001b[2J"])", {.control_characters = true}), "");
}

// Looking through all members for each one would take the square of them: minutes.
TEST(JsonReader, ReadsAnObjectOfManyMembers)
{
    std::string text = "{";
    for (int i = 0; i < 200'000; ++i)
        text += "\"" + std::to_string(i) + "\":0,";
    EXPECT_EQ(parse_json(text + "\"end\":0}")->size(), 200'001U);
}

} // namespace
} // namespace tabard
