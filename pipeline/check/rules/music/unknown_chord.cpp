#include "overlay/music/names/chord_name.h"
#include "pipeline/check/rules/rules.h"
#include "pipeline/cues/language_advice.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// What to do about a name that is no chord.
std::string advice_for(std::string_view name, overlay::NoteNames names)
{
    auto const language = language_advice(name, names);
    return language.empty() ? "correct the name, or give it a shape in \"shapes\"" : "correct the name, or " + language;
}

std::vector<Finding> find(CheckInput const& input)
{
    std::map<std::string, std::optional<std::string>> problems;
    std::vector<Finding> findings;
    for (ChordSpan const& span : input.timeline.chords()) {
        auto const [problem, is_new] = problems.try_emplace(span.name);
        if (is_new && !span.name.empty() && !input.lesson.find_shape(span.name))
            if (auto const chord = input.lesson.chord(span.name); !chord)
                problem->second = chord.error().what;
        if (problem->second)
            findings.push_back(
                kUnknownChord.at(span.at, span.in, *problem->second, advice_for(span.name, *input.lesson.names)));
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
