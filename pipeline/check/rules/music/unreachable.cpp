#include "pipeline/check/rules/music/judged_shapes.h"
#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (HeldShape const& held : held_shapes(input.lesson))
        if (held.verdict.reach == overlay::Reach::impossible && held.verdict.faults.empty())
            findings.push_back(
                kUnreachable.at(held.at, first_shown(input.timeline, held.name),
                                fmt::format("'{}' spans {:.0f} mm of the neck", held.label, held.verdict.span_mm),
                                "check the frets, or choose another shape"));
    return findings;
}

} // namespace

Rule const kUnreachable{
    "unreachable", Severity::error, "a shape wider than a hand",
    "The frets lie L - L/2^(n/12) from the nut. More than 130 mm between the lowest and the highest "
    "finger is beyond nearly every hand (this project's limit; no published source).",
    find};

} // namespace tabard::pipeline
