#include "pipeline/check/rules/music/judged_shapes.h"
#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (HeldShape const& held : held_shapes(input.lesson))
        if (held.verdict.reach == overlay::Reach::stretch && held.verdict.faults.empty())
            findings.push_back(
                kStretch.at(held.at, first_shown(input.timeline, held.name),
                            fmt::format("'{}' is a stretch: {:.0f} mm of the neck", held.label, held.verdict.span_mm),
                            "offer an \"easy\" shape too, and say that a hand that hurts must rest"));
    return findings;
}

} // namespace

Rule const kStretch{
    "stretch", Severity::advice, "a shape that is a stretch for small hands",
    "More than 75 mm between the lowest and the highest finger. Nothing is wrong with it; some learners will "
    "want an easier shape, and none should play through pain.",
    find};

} // namespace tabard::pipeline
