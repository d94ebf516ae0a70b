#include "pipeline/check/rules/rules.h"
#include "pipeline/time/timecode.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr int kFewestPictures = 4;

std::vector<Finding> find(CheckInput const& input)
{
    Time const shortest = from_frame(kFewestPictures, input.timeline.facts().rate);
    std::vector<Finding> findings;
    for (SectionSpan const& span : input.timeline.sections())
        for (Pin const& pin : input.lesson.sections[static_cast<std::size_t>(span.section)].pins)
            if (pin.next_time() > pin.time && pin.next_time() - pin.time < shortest)
                findings.push_back(kShortPause.at(
                    pin.at, pin.time,
                    fmt::format("the playing of '{}' stops at pin {} for {:.2f} s only", span.name, pin.position.text(),
                                to_seconds(pin.next_time() - pin.time)),
                    fmt::format("check the second time, or write \"{}\" alone", print_time_exact(pin.time))));
    return findings;
}

} // namespace

Rule const kShortPause{
    "short-pause", Severity::warning, "a pause of fewer than four pictures",
    "A pin with two times says that the playing stops at the first and goes on at the second. Nobody "
    "stops for less than four pictures: one of the two times is mostly wrong.",
    find};

} // namespace tabard::pipeline
