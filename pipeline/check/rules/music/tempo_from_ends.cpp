#include "pipeline/check/rules/rules.h"
#include "pipeline/time/timecode.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (SectionSpan const& span : input.timeline.sections()) {
        Section const& section = input.lesson.sections[static_cast<std::size_t>(span.section)];
        if (!span.map || section.tempo || section.pins.size() > 1 || !section.to)
            continue;
        double const tempo = static_cast<double>(span.map->tempo_at(0).thousandths) / 1000;
        findings.push_back(kTempoFromEnds.at(
            section.to->at, span.in,
            fmt::format("part '{}' says no tempo: its bars last evenly until {}, {:.1f} beats a minute", span.name,
                        print_time(**section.to), tempo),
            fmt::format("listen along; if it is right, write \"tempo\": {:.1f}, else let tabard listen find it",
                        tempo)));
    }
    return findings;
}

} // namespace

Rule const kTempoFromEnds{
    "tempo-from-ends", Severity::warning, "a tempo that only the ends of a part say",
    "Where a part says no tempo and has no pins, its bars are spread from where it begins to where "
    "it ends. If one of these times is a second off, chords in the middle are half a second off.",
    find};

} // namespace tabard::pipeline
