// Chord annotations of others (tests/data/annotated_chords, from GuitarSet) as the cues of a lesson.
#include "tests/pipeline/check/checked_file.h"
#include "tests/support/paths.h"

#include <algorithm>
#include <fstream>
#include <map>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

/// A line of an annotation, in seconds.
struct Line {
    double from = 0;
    double length = 0;
    std::string label;
};

std::vector<Line> annotation(std::string const& name)
{
    std::ifstream file(tests::source_folder() / "tests/data/annotated_chords" / name);
    std::vector<Line> lines;
    for (Line line; file >> line.from >> line.length >> line.label;)
        lines.push_back(line);
    return lines;
}

/// Labels in Harte's notation (root:kind(*omitted)/degree in the bass) as players write them.
std::string chord(std::string const& label)
{
    static std::map<std::string, std::string> const kNames{
        {"G:maj", "G"},      {"D:maj", "D"},        {"E:min", "Em"},       {"B:min", "Bm"},
        {"C:maj", "C"},      {"G:maj7/1", "Gmaj7"}, {"C:maj7/1", "Cmaj7"}, {"C:maj7/3", "Cmaj7/E"},
        {"E:min7/1", "Em7"}, {"E:min7/5", "Em7/B"}, {"B:min7/1", "Bm7"},   {"B:min7/b7", "Bm7/A"},
        {"D:9(*5)/1", "D9"}};
    return kNames.at(label);
}

/// One section from the first line's start to the last line's end, and a cue for each line.
CheckResult checked_annotation(std::vector<Line> const& lines)
{
    std::vector<std::string> cues;
    double end = 0;
    for (Line const& line : lines) {
        cues.push_back(fmt::format(R"({{"chord": "{}", "from": {}, "to": {}}})", chord(line.label), line.from,
                                   line.from + line.length));
        end = std::max(end, line.from + line.length);
    }
    return checked_text(fmt::format(R"({{"tabard": 1, "title": "t", "footage": "f.mp4", "key": "G", "sections": [
{{"name": "Excerpt", "from": {}, "to": {}, "show": [{}]}}]}})",
                                    lines.front().from, end, fmt::join(cues, ",\n")));
}

/// The findings of coverage alone: shapes of others' chords are another matter.
std::vector<std::string> coverage(CheckResult const& result)
{
    auto codes = codes_of(result);
    std::erase_if(codes, [](std::string const& code) { return code != "chord-gap" && code != "cue-overlap"; });
    return codes;
}

class Annotation : public testing::TestWithParam<char const*> {};

TEST_P(Annotation, HasNoGapAndNoOverlap)
{
    auto const lines = annotation(GetParam());
    ASSERT_EQ(lines.size(), 16U);
    auto const result = checked_annotation(lines);
    EXPECT_EQ(result.errors, 0);
    EXPECT_THAT(coverage(result), IsEmpty());
}

TEST_P(Annotation, WithoutOneOfItsLinesHasOneGap)
{
    auto const lines = annotation(GetParam());
    ASSERT_EQ(lines.size(), 16U);
    for (std::size_t n = 1; n + 1 < lines.size(); ++n) {
        auto fewer = lines;
        fewer.erase(fewer.begin() + static_cast<std::ptrdiff_t>(n));
        EXPECT_THAT(coverage(checked_annotation(fewer)), ElementsAre("chord-gap")) << "line " << n;
    }
}

TEST_P(Annotation, WithOneOfItsLinesLengthenedHasOneOverlap)
{
    auto const lines = annotation(GetParam());
    ASSERT_EQ(lines.size(), 16U);
    for (std::size_t n = 0; n + 1 < lines.size(); ++n) {
        auto longer = lines;
        longer[n].length += 0.25;
        EXPECT_THAT(coverage(checked_annotation(longer)), ElementsAre("cue-overlap")) << "line " << n;
    }
}

INSTANTIATE_TEST_SUITE_P(GuitarSet, Annotation, testing::Values("lead_sheet.txt", "played.txt"),
                         [](auto const& name) { return std::string(name.param).substr(0, 4); });

} // namespace
} // namespace tabard::pipeline
