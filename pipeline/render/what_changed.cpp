#include "pipeline/render/what_changed.h"

#include <algorithm>
#include <utility>
#include <variant>
#include <vector>

namespace tabard::pipeline {
namespace {

std::optional<Interval> difference(std::vector<SceneRun> const& a, std::vector<SceneRun> const& b)
{
    auto const [first_a, first_b] = std::mismatch(a.begin(), a.end(), b.begin(), b.end());
    auto const [last_a, last_b] = std::mismatch(a.rbegin(), a.rend(), b.rbegin(), b.rend());
    Interval changed{Time::max(), Time{0}};
    for (auto const& [first, end] : {std::pair{first_a, a.end()}, {first_b, b.end()}})
        if (first != end)
            changed.from = std::min(changed.from, first->in);
    for (auto const& [last, end] : {std::pair{last_a, a.rend()}, {last_b, b.rend()}})
        if (last != end)
            changed.to = std::max(changed.to, last->out);
    // A run that another thing splits looks alike up to the split, and after it.
    if (first_a != a.end() && first_b != b.end() && first_a->in == first_b->in && first_a->scene == first_b->scene)
        changed.from = std::min(first_a->out, first_b->out);
    if (last_a != a.rend() && last_b != b.rend() && last_a->out == last_b->out && last_a->scene == last_b->scene)
        changed.to = std::max(last_a->in, last_b->in);
    return changed.empty() ? std::nullopt : std::optional{changed};
}

/// Names and shapes of the chords to play now, and nothing else.
std::vector<SceneRun> chords_alone(SceneRuns const& runs)
{
    std::vector<SceneRun> chords;
    for (SceneRun const& run : runs.all())
        for (overlay::Layer const& layer : run.scene.layers)
            if (auto const* card = std::get_if<overlay::ChordCard>(&layer.content)) {
                SceneRun const chord{run.in, run.out, {{{overlay::ChordCard{card->label, card->shape, {}, {}}}}}};
                bool const goes_on =
                    !chords.empty() && chords.back().out == chord.in && chords.back().scene == chord.scene;
                if (goes_on)
                    chords.back().out = chord.out;
                else
                    chords.push_back(chord);
            }
    return chords;
}

} // namespace

std::optional<Interval> what_changed(SceneRuns const& before, SceneRuns const& now)
{
    auto const chords = difference(chords_alone(before), chords_alone(now));
    return chords ? chords : difference(before.all(), now.all());
}

} // namespace tabard::pipeline
