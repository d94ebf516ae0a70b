#include "pipeline/check/rules/picture/in_the_way.h"
#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    if (!input.pictures)
        return findings;
    for (SectionCover const& section : input.pictures->covers) {
        auto const& cover = section.here();
        if (cover.hands < kHandsCovered)
            continue;
        auto const& written = input.lesson.sections[static_cast<std::size_t>(section.section)];
        findings.push_back(kCoversHands.at(
            written.at, section.in,
            fmt::format("in '{}' the overlays lie on {:.0f} % of what moves in the picture, most likely the hands",
                        *written.name, 100 * cover.hands),
            another_corner(section, input.lesson, *input.pictures)));
    }
    return findings;
}

} // namespace

Rule const kCoversHands{"covers-hands",
                        Severity::warning,
                        "overlays on the moving hands",
                        "A learner must see both hands. Measured over a part: cells of the picture that move at "
                        "least a third as much as its "
                        "liveliest hundredth, and the share of their motion that the overlays hide (from 20 % on; our "
                        "own limit). What moves "
                        "most in a lesson is the playing hand; a person walking past counts as well.",
                        find,
                        true};

} // namespace tabard::pipeline
