#include "pipeline/cues/writer.h"
#include "pipeline/desk/desk.h"

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

/// `document` after `edits`, both as JSON; empty where they are refused.
std::string edited(char const* document, char const* edits)
{
    auto changed = parse_document(document);
    if (!changed || !apply_edits(*changed, *parse_document(edits)))
        return "";
    return document_text(*changed);
}

std::string same(char const* document) { return document_text(*parse_document(document)); }

TEST(MovedEdit, APartGoesToAnotherPlaceOfTheListAndTheOthersKeepTheirOrder)
{
    constexpr char const* kParts = R"({"sections": ["a", "b", "c", "d"]})";
    EXPECT_EQ(edited(kParts, R"([{"path": ["sections", 0], "move": 2}])"),
              same(R"({"sections": ["b", "c", "a", "d"]})"));
    EXPECT_EQ(edited(kParts, R"([{"path": ["sections", 3], "move": 0}])"),
              same(R"({"sections": ["d", "a", "b", "c"]})"));
    EXPECT_EQ(edited(kParts, R"([{"path": ["sections", 1], "move": 1}])"), same(kParts));
    EXPECT_EQ(edited(kParts, R"([{"path": ["sections", 0], "move": 4}])"), "");
    EXPECT_EQ(edited(kParts, R"([{"path": ["sections", 0], "move": -1}])"), "");
    EXPECT_EQ(edited(kParts, R"([{"path": ["sections", 0], "move": "b"}])"), "");
}

TEST(MovedEdit, AStrumWithANewNameKeepsItsPlaceAndWhatItHas)
{
    constexpr char const* kStrums = R"({"strums": {"slow": {"steps": "D", "swing": 0.6}, "fast": "D U"}})";
    EXPECT_EQ(edited(kStrums, R"([{"path": ["strums", "slow"], "move": "calm"}])"),
              same(R"({"strums": {"calm": {"steps": "D", "swing": 0.6}, "fast": "D U"}})"));
    EXPECT_EQ(edited(kStrums, R"([{"path": ["strums", "slow"], "move": "fast"}])"), "");
    EXPECT_EQ(edited(kStrums, R"([{"path": ["strums", "none"], "move": "calm"}])"), "");
    EXPECT_EQ(edited(kStrums, R"([{"path": ["strums", "slow"], "move": ""}])"), "");
}

TEST(SetEdit, TheFirstShapeOfALessonMakesTheListOfShapes)
{
    EXPECT_EQ(edited(R"({"title": "Quay"})", R"([{"path": ["shapes", "C"], "value": "x32010"}])"),
              same(R"({"title": "Quay", "shapes": {"C": "x32010"}})"));
    EXPECT_EQ(edited(R"({"title": "Quay"})", R"([{"path": ["sections", 0, "from"], "value": "0:01"}])"), "");
    EXPECT_EQ(edited(R"({"title": "Quay"})", R"([{"path": ["title", "a"], "value": "0:01"}])"), "");
}

} // namespace
} // namespace tabard::pipeline
