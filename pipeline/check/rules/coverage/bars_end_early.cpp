#include "pipeline/check/rules/rules.h"
#include "pipeline/cues/meter_ticks.h"
#include "pipeline/time/timecode.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr int kTolerancePulses = 2;

bool shows_after(Section const& section, Time time)
{
    return std::ranges::any_of(section.show, [&](ShowCue const& cue) { return *cue.from >= time - kTouching; });
}

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (SectionSpan const& span : input.timeline.sections()) {
        Section const& section = input.lesson.sections[static_cast<std::size_t>(span.section)];
        if (!section.to || span.bars_in == span.bars_out || shows_after(section, span.bars_out))
            continue;
        std::int64_t const end = section.bars->value.bars() * bar_ticks(*section.meter);
        std::int64_t const pulse = pulse_ticks(*section.meter);
        if (span.out > span.map->time_at(end + kTolerancePulses * pulse))
            findings.push_back(kBarsEndEarly.at(section.bars->at, span.bars_out,
                                                fmt::format("the bars of '{}' end at {}, and the part goes on until {}",
                                                            span.name, print_time(span.bars_out), print_time(span.out)),
                                                "add the bars that are missing, or end the part with them"));
    }
    return findings;
}

} // namespace

Rule const kBarsEndEarly{"bars-end-early", Severity::warning, "a part goes on after its bars",
                         "From the last bar to the end of the part no chord is shown. More than two beats of that, "
                         "without a cue in \"show\", mostly mean that bars are missing or the tempo is too fast.",
                         find};

} // namespace tabard::pipeline
