#include "pipeline/check/picture/picture_facts.h"
#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr Time kPause{2 * kFlicksPerSecond};

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    auto const& sections = input.timeline.sections();
    for (std::size_t i = 1; i < sections.size(); ++i) {
        auto const before = sections[i - 1].corner;
        auto const now = sections[i].corner;
        if (before == now || sections[i].shown_from - sections[i - 1].out >= kPause)
            continue;
        Section const& section = input.lesson.sections[static_cast<std::size_t>(sections[i].section)];
        findings.push_back(
            kCornerJumps.at(section.placement ? section.placement->at : section.at, sections[i].in,
                            fmt::format("the overlays jump from {} to {} as '{}' begins", placement_word(before),
                                        placement_word(now), sections[i].name),
                            "keep one corner for the whole film, or leave two seconds without overlays in between"));
    }
    return findings;
}

} // namespace

Rule const kCornerJumps{"corner-jumps", Severity::warning, "overlays that jump between corners",
                        "A learner looks for the next chord where the last one was. Parts that follow each other "
                        "within two seconds keep "
                        "their overlays in one corner (our own limit).",
                        find};

} // namespace tabard::pipeline
