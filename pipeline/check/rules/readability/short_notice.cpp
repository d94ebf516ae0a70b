#include "pipeline/check/rules/rules.h"
#include "pipeline/time/timecode.h"
#include "pipeline/timeline/resting.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::map<int, SectionSpan const*> sections;
    for (SectionSpan const& span : input.timeline.sections())
        sections[span.section] = &span;
    std::vector<Finding> findings;
    ChordSpan const* before = nullptr;
    for (ChordSpan const& chord : input.timeline.chords()) {
        if (!chord.played)
            continue;
        if (before && before->section == chord.section && before->out == chord.in) {
            TempoMap const& map = *sections[chord.section]->map;
            Time const pulse = map.tempo_at(map.offset_at(before->in)).pulse();
            auto const rest = rest_at(map, chord.in);
            Time const notice = (rest ? rest->to : chord.in) - before->in;
            if (pulse - notice > kTouching)
                findings.push_back(kShortNotice.at(
                    chord.at, before->in,
                    fmt::format("chord '{}' in bar {} is announced {:.2f} s before it comes, less than a beat",
                                chord.name, chord.bar, to_seconds(notice)),
                    "let the chord before last a beat, or leave it out of the film"));
        }
        before = &chord;
    }
    return findings;
}

} // namespace

Rule const kShortNotice{
    "short-notice", Severity::warning, "a next chord announced less than a beat before it comes",
    "The next chord is announced while the one before it sounds. A chord that lasts less than one beat "
    "of the tempo (an eighth in 6/8) gives no time to look, and the hand comes late.",
    find};

} // namespace tabard::pipeline
