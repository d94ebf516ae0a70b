#include "overlay/music/names/chord_name.h"
#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (ChordSpan const& span : input.timeline.chords())
        if (auto const chord = input.lesson.chord(span.name); chord && !chord->no_chord && !span.shape)
            findings.push_back(kNoShape.at(span.at, span.in,
                                           fmt::format("no shape for '{}' was found on this instrument", span.name),
                                           "give one in \"shapes\""));
    return findings;
}

} // namespace

Rule const kNoShape{"no-shape",
                    Severity::warning,
                    "a chord without a shape",
                    "Where \"shapes\" has no entry a shape is looked for. This chord has none that four fingers can "
                    "hold in this tuning, so only its name would be shown.",
                    find,
                    false,
                    true};

} // namespace tabard::pipeline
