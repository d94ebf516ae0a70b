#include "pipeline/retime/shot_sequence.h"

#include "pipeline/time/coverage.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

void sort_by_place(std::vector<CutShot>& shots)
{
    std::ranges::sort(shots, {}, [](CutShot const& shot) { return shot.span.target; });
}

/// Those of `shots` that a sequence of them shows through an opening, as it lies there.
std::vector<CutShot> seen_in(KeptSpan const& opening, std::vector<CutShot> const& shots)
{
    std::vector<CutShot> seen;
    for (CutShot const& shot : shots)
        if (auto const span = composed(shot.span, opening))
            seen.push_back({shot.source, *span});
    sort_by_place(seen);
    return seen;
}

void append_later(std::vector<CutShot>& shots, std::vector<CutShot> const& next, Time later)
{
    for (CutShot shot : next) {
        shot.span.target.from += later;
        shot.span.target.to += later;
        shots.push_back(shot);
    }
}

/// `part` of what a shot shows, onto `shots`.
void add_part(std::vector<CutShot>& shots, CutShot const& shot, Interval part)
{
    if (part.empty())
        return;
    if (auto const span = composed(shot.span, {part, part, Motion::forward}))
        shots.push_back({shot.source, *span});
}

} // namespace

ShotSequence ShotSequence::seen_through(Interval window, Time new_length, Motion motion) const
{
    ShotSequence result{new_length, {}, {}};
    if (new_length <= Time{0})
        return result;
    Interval const source = motion == Motion::freeze ? Interval{window.from, window.from} : window;
    KeptSpan const opening{source, {Time{0}, new_length}, motion};
    result.shots = seen_in(opening, shots);
    result.hidden = seen_in(opening, hidden);
    return result;
}

void ShotSequence::append(ShotSequence const& next)
{
    append_later(shots, next.shots, length);
    append_later(hidden, next.hidden, length);
    length += next.length;
}

ShotSequence flattened(std::vector<ShotSequence> const& layers)
{
    ShotSequence result;
    Coverage covered;
    for (auto layer = layers.rbegin(); layer != layers.rend(); ++layer) {
        result.length = std::max(result.length, layer->length);
        result.hidden.insert(result.hidden.end(), layer->hidden.begin(), layer->hidden.end());
        for (CutShot const& shot : layer->shots) {
            Time reached = shot.span.target.from;
            for (Interval const& part : covered.add(shot.span.target)) {
                add_part(result.hidden, shot, {reached, part.from});
                add_part(result.shots, shot, part);
                reached = part.to;
            }
            add_part(result.hidden, shot, {reached, shot.span.target.to});
        }
    }
    sort_by_place(result.shots);
    sort_by_place(result.hidden);
    return result;
}

} // namespace tabard::pipeline
