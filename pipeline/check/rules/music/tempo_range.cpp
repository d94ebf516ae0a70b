#include "pipeline/check/rules/rules.h"
#include "pipeline/cues/tempo_limits.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

bool outside(Tempo tempo) { return tempo.thousandths < kSlowestTempo || tempo.thousandths > kFastestTempo; }

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (SectionSpan const& span : input.timeline.sections()) {
        Section const& section = input.lesson.sections[static_cast<std::size_t>(span.section)];
        if (!span.map)
            continue;
        auto const report = [&](Tempo tempo, SourcePosition at, Time time) {
            findings.push_back(kTempoRange.at(at, time,
                                              fmt::format("'{}' would be played at {:.0f} beats a minute", span.name,
                                                          static_cast<double>(tempo.thousandths) / 1000),
                                              "check the pins, the bars between them and the meter"));
        };
        if (Tempo const tempo = span.map->tempo_at(0); section.pins.size() < 2 && outside(tempo))
            report(tempo, section.tempo ? section.tempo->at : section.to ? section.to->at : section.at, span.in);
        for (std::size_t i = 0; i + 1 < section.pins.size(); ++i) {
            Tempo const tempo = span.map->tempo_at(section.pins[i].position.offset(*section.meter));
            if (outside(tempo))
                report(tempo, section.pins[i + 1].at, section.pins[i].time);
        }
    }
    return findings;
}

} // namespace

Rule const kTempoRange{
    "tempo-range", Severity::error, "a tempo that nobody plays",
    "Below 30 and above 260 beats a minute lies no song (metronomes go from 40 to 208). Pins that imply such "
    "a tempo have the wrong bar or the wrong time.",
    find};

} // namespace tabard::pipeline
