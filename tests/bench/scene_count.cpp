// How many pictures of overlays a lesson needs: stretches of equal scenes, and different layers, a minute.
//   scene_count CUES
#include "pipeline/cues/reader.h"
#include "pipeline/timeline/timeline.h"

#include <cstdio>
#include <set>

#include <fmt/format.h>

int main(int argc, char** argv)
{
    using namespace tabard;
    if (argc != 2) {
        std::fputs("usage: scene_count CUES\n", stderr);
        return 2;
    }
    auto const reading = pipeline::read_lesson(argv[1]);
    if (!reading || !reading->lesson)
        return 3;
    pipeline::MediaFacts facts;
    facts.duration = pipeline::from_seconds(3600);
    auto const timeline = pipeline::Timeline::resolve(*reading->lesson, facts);
    auto const& instants = timeline.change_instants();
    int runs = 0;
    overlay::Scene before;
    std::set<overlay::LayerContent> layers;
    for (pipeline::Time const instant : instants) {
        overlay::Scene const scene = timeline.scene_at(instant);
        runs += scene == before ? 0 : 1;
        for (overlay::Layer const& layer : scene.layers)
            layers.insert(layer.content);
        before = scene;
    }
    double const minutes = pipeline::to_seconds(instants.back() - instants.front()) / 60;
    fmt::print("{} scenes, {:.1f} a minute; {} different layers, {:.1f} a minute\n", runs, runs / minutes,
               layers.size(), static_cast<double>(layers.size()) / minutes);
    return 0;
}
