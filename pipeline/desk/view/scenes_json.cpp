#include "pipeline/desk/view/scenes_json.h"

#include "pipeline/desk/view/json.h"
#include "pipeline/desk/view/lesson_json.h"

#include <algorithm>
#include <map>

namespace tabard::pipeline {
namespace {

/// The scenes between the last change at or before `from` and the first at or after `to`.
SceneRuns scenes_around(Timeline const& timeline, Time from, Time to)
{
    std::vector<Time> const& instants = timeline.change_instants();
    auto first = std::ranges::upper_bound(instants, from);
    if (first != instants.begin())
        --first;
    std::vector<SceneRun> runs;
    for (auto at = first; at != instants.end() && *at < to && at + 1 != instants.end(); ++at)
        runs.push_back({*at, *(at + 1), timeline.scene_at(*at)});
    return SceneRuns(std::move(runs));
}

/// The layers and scenes of an answer, each once.
class Sheet {
public:
    Sheet(std::shared_ptr<LayerLook const> look, LayerStore& store) : m_look(std::move(look)), m_store(store) {}

    std::size_t scene(overlay::Scene const& scene)
    {
        Json numbers = Json::array();
        for (overlay::Layer const& layer : scene.layers) {
            numbers.push_back(index_of(layer));
            numbers.push_back(layer.level);
        }
        auto const [known, is_new] = m_scenes.try_emplace(numbers.dump(), scenes.size());
        if (is_new)
            scenes.push_back(std::move(numbers));
        return known->second;
    }

    Json layers = Json::array();
    Json scenes = Json::array();

private:
    std::size_t index_of(overlay::Layer const& layer)
    {
        auto const [known, is_new] = m_layers.try_emplace({layer.content, layer.corner}, layers.size());
        if (is_new)
            layers.push_back(m_store.hand_out(m_look, layer));
        return known->second;
    }

    std::shared_ptr<LayerLook const> m_look;
    LayerStore& m_store;
    std::map<std::pair<overlay::LayerContent, std::optional<overlay::Corner>>, std::size_t> m_layers;
    std::map<std::string, std::size_t> m_scenes;
};

} // namespace

std::vector<SceneRun> runs_within(Timeline const& timeline, std::vector<Time> const& frames, Time from, Time to)
{
    // The frame on screen at `from` began before it, and the last one ends behind `to`.
    auto first = std::ranges::upper_bound(frames, from);
    if (first != frames.begin())
        --first;
    auto last = std::ranges::lower_bound(frames, to);
    if (frames.empty() || first == last) {
        auto runs = scenes_around(timeline, from, to).all();
        std::erase_if(runs, [&](SceneRun const& run) { return run.out <= from || run.in >= to; });
        return runs;
    }
    Time const end = last == frames.end() ? std::max(timeline.facts().duration, frames.back() + Time{1}) : *last;
    return scenes_around(timeline, *first, end).on_pictures({first, last}, end).all();
}

std::string scenes_json(DrawnLesson const& drawn, std::vector<Time> const& frames, Time from, Time to,
                        LayerStore& layers)
{
    auto const look = std::make_shared<LayerLook const>(layer_look(drawn.look, displayed_size(drawn.opened.film)));
    Sheet sheet(look, layers);
    Json runs = Json::array();
    for (SceneRun const& run : runs_within(drawn.opened.timeline, frames, from, to))
        runs.push_back({json_seconds(run.in), json_seconds(run.out), sheet.scene(run.scene)});
    return json_text({{"digest", drawn.digest},
                      {"from", json_seconds(from)},
                      {"to", json_seconds(to)},
                      {"layers", std::move(sheet.layers)},
                      {"scenes", std::move(sheet.scenes)},
                      {"runs", std::move(runs)}});
}

} // namespace tabard::pipeline
