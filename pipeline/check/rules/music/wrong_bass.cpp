#include "pipeline/check/rules/music/judged_shapes.h"
#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (JudgedShape const& judged : judged_shapes(input.lesson)) {
        using Bass = overlay::ShapeVerdict::Bass;
        if (judged.verdict.bass != Bass::wrong || !judged.verdict.foreign.empty() ||
            !judged.verdict.lacks_only_optional)
            continue;
        findings.push_back(kWrongBass.at(
            judged.at, first_shown(input.timeline, judged.name),
            fmt::format("the lowest note of '{}' is {}, not {}", judged.label,
                        judged.verdict.lowest ? pretty_of(*judged.verdict.lowest, *input.lesson.names) : "none",
                        pretty_of(judged.chord.lowest(), *input.lesson.names)),
            "mute the strings below the bass, or name the bass that sounds"));
    }
    return findings;
}

} // namespace

Rule const kWrongBass{"wrong-bass", Severity::warning, "a named bass that is not the lowest note",
                      "The letter after the slash says what sounds lowest. In this shape something else does.", find};

} // namespace tabard::pipeline
