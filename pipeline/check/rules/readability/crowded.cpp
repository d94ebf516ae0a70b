#include "pipeline/check/rules/rules.h"
#include "pipeline/time/timecode.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr int kMostLayers = 6;

/// What fades in or out makes room at that moment for what comes or goes.
int layers_in_full(overlay::Scene const& scene)
{
    return static_cast<int>(std::ranges::count(scene.layers, overlay::kFullLevel, &overlay::Layer::level));
}

/// The most layers at once while a text is on: without one there are never more than six.
int most_layers(Timeline const& timeline, TextSpan const& span, Time& when)
{
    int most = 0;
    auto const& instants = timeline.change_instants();
    for (auto at = std::ranges::lower_bound(instants, span.in); at != instants.end() && *at < span.out; ++at) {
        int const layers = layers_in_full(timeline.scene_at(*at));
        if (layers > most) {
            most = layers;
            when = *at;
        }
    }
    return most;
}

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (TextSpan const& span : input.timeline.texts()) {
        Time when = span.in;
        if (int const layers = most_layers(input.timeline, span, when); layers > kMostLayers)
            findings.push_back(kCrowded.at(
                span.at, when,
                fmt::format("with this text {} things are on screen at once at {}", layers, print_time(when)),
                "say it before or after the part is played"));
    }
    return findings;
}

} // namespace

Rule const kCrowded{
    "crowded", Severity::warning, "too many things on screen at once",
    "Chord, next chord, bars, strum, capo and title are as much as a learner can look at. A text on top of "
    "all six is not read, and covers still more of the picture.",
    find};

} // namespace tabard::pipeline
