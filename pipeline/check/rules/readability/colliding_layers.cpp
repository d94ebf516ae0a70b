#include "overlay/drawing/layout.h"
#include "pipeline/check/rules/rules.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <optional>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// Whether two layers of a scene would be drawn in one place. In one corner no two are.
bool collide(overlay::Scene const& scene, overlay::Stage const& stage)
{
    std::vector<overlay::Box> regions;
    for (overlay::Layer const& layer : scene.layers) {
        auto placed = stage;
        placed.corner = layer.corner.value_or(stage.corner);
        auto const region = region_of(layer.content, make_layout(placed));
        if (std::ranges::any_of(regions, [&](overlay::Box const& other) { return other.overlaps(region); }))
            return true;
        regions.push_back(region);
    }
    return false;
}

/// The first instant in [in, out) at which layers collide.
std::optional<Time> first_collision(Timeline const& timeline, overlay::Stage const& stage, Time in, Time out)
{
    auto const& instants = timeline.change_instants();
    for (auto at = std::ranges::lower_bound(instants, in); at != instants.end() && *at < out; ++at)
        if (collide(timeline.scene_at(*at), stage))
            return *at;
    return std::nullopt;
}

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    auto const stage = stage_of(input.lesson, input.film ? input.film->displayed : SizePx{1920, 1080});
    auto const& sections = input.timeline.sections();
    for (std::size_t i = 1; i < sections.size(); ++i) {
        SectionSpan const& before = sections[i - 1];
        SectionSpan const& now = sections[i];
        if (before.corner == now.corner)
            continue;
        auto const when = first_collision(input.timeline, stage, now.shown_from, before.out);
        if (!when)
            continue;
        Section const& section = input.lesson.sections[static_cast<std::size_t>(now.section)];
        findings.push_back(kCollidingLayers.at(
            section.placement ? section.placement->at : section.at, *when,
            fmt::format("overlays of '{}' ({}) lie on those of '{}' ({}), which are on screen until {}", now.name,
                        placement_word(now.corner), before.name, placement_word(before.corner),
                        print_time(before.out, 1)),
            "keep one corner for both parts, or let the first end before the count-in of the second"));
    }
    return findings;
}

} // namespace

Rule const kCollidingLayers{
    "colliding-layers", Severity::warning, "overlays that lie on each other",
    "What is laid out from one corner never collides. Two parts that have placements of their own are laid out each "
    "for itself: where the second, or its count-in, begins while the first is still on screen, a card may lie on "
    "another one.",
    find};

} // namespace tabard::pipeline
