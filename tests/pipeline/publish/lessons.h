#pragma once
#include "pipeline/cues/reader.h"
#include "pipeline/timeline/timeline.h"

#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

// Invented lessons that several tests of this folder publish.
namespace tabard::pipeline::lessons {

/// A lesson of 60 seconds with the given sections and other members.
inline Lesson lesson(std::string const& sections, std::string const& members = R"("capo": 4, "key": "E")")
{
    auto const reading = parse_lesson(fmt::format(R"({{"tabard": 1, "title": "Lantern on the Quay",
        "footage": "none.mp4", {}, "meter": "4/4", "tempo": 60,
        "shapes": {{"F": {{"easy": {{"frets": "xx3211"}}, "full": {{"frets": "133211"}}}}}},
        "strums": {{"slow": {{"steps": "D - Dx U"}}}},
        "sections": [{}]}})",
                                                  members, sections),
                                      "lesson.json");
    for (auto const& finding : reading.findings)
        EXPECT_NE(finding.severity, Severity::error) << finding.what;
    return reading.lesson.value_or(Lesson{});
}

inline Timeline timeline(Lesson const& lesson)
{
    return Timeline::resolve(lesson, {Time{0}, from_seconds(60), {25, 1}});
}

/// A section with a hostile name, from `from` to `to` seconds.
inline std::string section(std::string const& json_name, double from, double to)
{
    return fmt::format(R"({{"name": {}, "from": {}, "to": {}, "show": [{{"chord": "G/B", "from": {}}}]}})", json_name,
                       from, to, from);
}

inline char const* const kUsual = R"(
    {"name": "Talk", "from": 2, "to": 10, "show": [{"chord": "C", "from": 3, "to": 5}, {"text": "Relax.", "from": 6, "to": 8}]},
    {"name": "Verse 1", "from": 12, "strum": "slow", "bars": "C | F / G / | Am7 | %"},
    {"name": "Chorus", "from": 28, "bars": "|: F | C :| x2", "words": ["One | two"]},
    {"name": "Verse 2", "from": 44, "strum": "slow", "bars": "C | F / G / | Am7 | %"})";

} // namespace tabard::pipeline::lessons
