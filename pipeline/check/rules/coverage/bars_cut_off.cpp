#include "pipeline/check/rules/rules.h"
#include "pipeline/cues/meter_ticks.h"
#include "pipeline/time/timecode.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (SectionSpan const& span : input.timeline.sections()) {
        Section const& section = input.lesson.sections[static_cast<std::size_t>(span.section)];
        if (!span.map || section.piece)
            continue;
        std::int64_t const end = section.bars->value.bars() * bar_ticks(*section.meter);
        Time const all = span.map->end_at(end);
        if (span.map->end_at(end - kTicksPerBeat / 2) > span.out)
            findings.push_back(kBarsCutOff.at(section.bars->at, span.out,
                                              fmt::format("part '{}' ends at {}, and its bars would last until {}",
                                                          span.name, print_time(span.out), print_time(all)),
                                              "take bars out, check the tempo, or let the part last longer"));
    }
    return findings;
}

} // namespace

Rule const kBarsCutOff{
    "bars-cut-off", Severity::warning, "a part ends before its bars",
    "The bars that come after the part's end are not shown. That is right for a piece that a cut has "
    "left (which says so), and else a wrong tempo, a wrong time or too many bars.",
    find};

} // namespace tabard::pipeline
