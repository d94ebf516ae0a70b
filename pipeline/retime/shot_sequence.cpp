#include "pipeline/retime/shot_sequence.h"

#include "pipeline/time/coverage.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

void sort_by_place(ShotSequence& sequence)
{
    std::ranges::sort(sequence.shots, {}, [](CutShot const& shot) { return shot.span.target; });
}

} // namespace

ShotSequence ShotSequence::seen_through(Interval window, Time new_length, Motion motion) const
{
    ShotSequence result{new_length, {}};
    if (new_length <= Time{0})
        return result;
    Interval const source = motion == Motion::freeze ? Interval{window.from, window.from} : window;
    KeptSpan const opening{source, {Time{0}, new_length}, motion};
    for (CutShot const& shot : shots)
        if (auto const span = composed(shot.span, opening))
            result.shots.push_back({shot.source, *span});
    sort_by_place(result);
    return result;
}

void ShotSequence::append(ShotSequence const& next)
{
    for (CutShot shot : next.shots) {
        shot.span.target.from += length;
        shot.span.target.to += length;
        shots.push_back(shot);
    }
    length += next.length;
}

ShotSequence flattened(std::vector<ShotSequence> const& layers)
{
    ShotSequence result;
    Coverage covered;
    for (auto layer = layers.rbegin(); layer != layers.rend(); ++layer) {
        result.length = std::max(result.length, layer->length);
        for (CutShot const& shot : layer->shots)
            for (Interval const& part : covered.add(shot.span.target))
                if (auto const span = composed(shot.span, {part, part, Motion::forward}))
                    result.shots.push_back({shot.source, *span});
    }
    sort_by_place(result);
    return result;
}

} // namespace tabard::pipeline
