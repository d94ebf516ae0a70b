#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr Time kShortest = from_ticks(1, 1, 1);

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    auto const& sections = input.timeline.sections();
    for (std::size_t first = 0, next = 0; first < sections.size(); first = next) {
        next = first + 1;
        // What a cut left of one part in several pieces is seen as one.
        while (next < sections.size() && sections[next].name == sections[first].name &&
               std::chrono::abs(sections[next].in - sections[next - 1].out) <= kTouching)
            ++next;
        Time const length = sections[next - 1].out - sections[first].in;
        if (length > Time{0} && length < kShortest) // what lasts no time is another mistake
            findings.push_back(kShortPart.at(
                input.lesson.sections[static_cast<std::size_t>(sections[first].section)].at, sections[first].in,
                fmt::format("'{}' lasts {:.2f} s only: its title cannot be read", sections[first].name,
                            to_seconds(length)),
                "take this part out, or let the one beside it last until it ends"));
    }
    return findings;
}

} // namespace

Rule const kShortPart{"short-part", Severity::warning, "a part that lasts less than a second",
                      "A cut often leaves a few frames of a part. Its title then flashes up, or its diagram: nobody "
                      "reads them, and everybody sees them.",
                      find};

} // namespace tabard::pipeline
