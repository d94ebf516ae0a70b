#include "pipeline/check/rules/rules.h"
#include "pipeline/timeline/resting.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// From one line between pins to the next: a quarter faster, or a fifth slower.
constexpr double kMostFaster = 1.25;

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (SectionSpan const& span : input.timeline.sections()) {
        Section const& section = input.lesson.sections[static_cast<std::size_t>(span.section)];
        for (std::size_t i = 1; span.map && i + 1 < section.pins.size(); ++i) {
            Pin const& pin = section.pins[i];
            if (pin.next_time() - pin.time >= kShortestRest)
                continue;
            std::int64_t const offset = pin.position.offset(*section.meter);
            double const before = static_cast<double>(span.map->tempo_at(offset - 1).thousandths) / 1000;
            double const after = static_cast<double>(span.map->tempo_at(offset).thousandths) / 1000;
            if (after > before * kMostFaster || before > after * kMostFaster)
                findings.push_back(
                    kTempoJump.at(pin.at, pin.time, fmt::format("the tempo of '{}' jumps at a pin", span.name),
                                  fmt::format("at bar {} it goes from {:.0f} to {:.0f} beats a minute: check the time "
                                              "and the bar of this pin and its neighbours",
                                              pin.position.text(), before, after)));
        }
    }
    return findings;
}

} // namespace

Rule const kTempoJump{
    "tempo-jump", Severity::warning, "the tempo jumps at a pin",
    "Between pins the beats are even. Where the tempo on one side is more than a quarter faster than on the "
    "other, a pin was mostly set at the wrong bar or at the wrong stroke. After a pause it may be another tempo.",
    find};

} // namespace tabard::pipeline
