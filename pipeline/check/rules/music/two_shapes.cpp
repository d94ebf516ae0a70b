#include "overlay/music/names/chord_name.h"
#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::map<std::string, ShapeEntry const*> first;
    std::vector<Finding> findings;
    for (ShapeEntry const& entry : input.lesson.shapes) {
        auto const chord = input.lesson.chord(entry.name);
        if (!chord)
            continue;
        auto const [before, is_new] = first.try_emplace(chord->text(), &entry);
        if (!is_new && before->second->shapes.front().shape.frets != entry.shapes.front().shape.frets)
            findings.push_back(kTwoShapes.at(entry.at, std::nullopt,
                                             fmt::format("'{}' and '{}' (line {}) are one chord with two shapes",
                                                         entry.name, before->second->name, before->second->at.line),
                                             "keep one, or give both to one name as \"easy\" and \"full\""));
    }
    return findings;
}

} // namespace

Rule const kTwoShapes{
    "two-shapes", Severity::warning, "one chord with two shapes under two spellings",
    "Where a film shows one chord in two ways, the learner must guess which one is meant. Two shapes of "
    "one chord belong under one name, as levels.",
    find};

} // namespace tabard::pipeline
