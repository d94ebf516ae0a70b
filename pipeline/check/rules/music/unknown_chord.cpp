#include "overlay/music/names/chord_name.h"
#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::map<std::string, std::optional<std::string>> problems;
    std::vector<Finding> findings;
    for (ChordSpan const& span : input.timeline.chords()) {
        auto const [problem, is_new] = problems.try_emplace(span.name);
        if (is_new && !span.name.empty() && !input.lesson.find_shape(span.name))
            if (auto const chord = overlay::ChordName::parse(span.name); !chord)
                problem->second = chord.error().what;
        if (problem->second)
            findings.push_back(kUnknownChord.at(span.at, span.in, *problem->second,
                                                "correct the name, or give it a shape in \"shapes\""));
    }
    return findings;
}

} // namespace

Rule const kUnknownChord{
    "unknown-chord",
    Severity::error,
    "a name that is no chord and has no shape",
    "The film can show only the bare letters. Chords are read as players write them (F#m7b5, C6/9, "
    "D/F#); any other name is shown as it stands if \"shapes\" says how it is fretted.",
    find,
    false,
    true};

} // namespace tabard::pipeline
