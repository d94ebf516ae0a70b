#include "pipeline/check/rules/rules.h"
#include "pipeline/cues/likely_steps.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (StrumSpan const& span : input.timeline.strums()) {
        overlay::Meter const meter = *input.lesson.sections[static_cast<std::size_t>(span.section)].meter;
        int const steps = static_cast<int>(input.lesson.find_strum(span.name)->pattern.steps.size());
        if (steps == 0 || steps_fit(steps, meter))
            continue;
        findings.push_back(kStrumMeter.at(
            span.at, span.in,
            fmt::format("the {} steps of '{}' do not divide a bar of {}", steps, span.name, meter.text()),
            fmt::format("write {} or {} steps", meter.beats, 2 * meter.beats)));
    }
    return findings;
}

} // namespace

Rule const kStrumMeter{
    "strum-meter",
    Severity::warning,
    "a strum that does not fit the meter",
    "The steps of a pattern divide the bar evenly. Eight steps in a bar of three beats put no stroke on the "
    "second beat; the count under the lane would make no sense.",
    find,
    false,
    true};

} // namespace tabard::pipeline
