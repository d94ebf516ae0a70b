#include "pipeline/retime/seam_before.h"

#include "pipeline/timeline/layer_track.h"

#include <algorithm>
#include <iterator>

namespace tabard::pipeline {
namespace {

/// The last of `old_seams` that `span` shows up to `start`, else where the span begins.
Time last_seam(KeptSpan const& span, Time start, std::vector<Time> const& old_seams)
{
    Time latest = span.target.from;
    if (span.motion == Motion::freeze)
        return latest;
    // Beside the old time of `start`: where the picture runs backwards, what was shown before it lay behind it.
    auto const after = std::ranges::upper_bound(old_seams, span.back(start));
    auto const consider = [&](Time seam) {
        if (seam < span.source.from || seam > span.source.to)
            return;
        Time const shown = span.forth(seam);
        if (shown <= start)
            latest = std::max(latest, shown);
    };
    if (after != old_seams.begin())
        consider(*std::prev(after));
    if (after != old_seams.end())
        consider(*after);
    return latest;
}

} // namespace

std::optional<Time> seam_before(Time start, EditMap const& cut, std::vector<Time> const& old_seams)
{
    std::vector<KeptSpan> const& spans = cut.spans();
    auto const after =
        std::ranges::upper_bound(spans, start, {}, [](KeptSpan const& span) { return span.target.from; });
    if (after == spans.begin())
        return std::nullopt;
    Time const seam = last_seam(*std::prev(after), start, old_seams);
    return start - seam < kFadeLength ? std::optional{seam} : std::nullopt;
}

} // namespace tabard::pipeline
