#include "pipeline/check/rules/music/key_of_chords.h"
#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    auto const key = key_of_shapes(input.lesson);
    auto const names = played_names(input);
    if (!key || key_is_wrong(names, *key))
        return {};
    std::vector<Finding> findings;
    for (PlayedName const& name : names)
        if (!belongs(name.chord, *key))
            findings.push_back(kForeignChord.at(name.at, name.time,
                                                fmt::format("'{}' is foreign to {}, the key of the shapes", name.name,
                                                            key->pretty(*input.lesson.names)),
                                                "nothing to fix if it is meant; else check its name"));
    return findings;
}

} // namespace

Rule const kForeignChord{
    "foreign-chord",
    Severity::advice,
    "a chord foreign to the key",
    "Root, third and fifth are compared with the scale of the key. Borrowed chords are music, and also "
    "what a slip of the pen looks like (Am for A).",
    find,
    false,
    true};

} // namespace tabard::pipeline
