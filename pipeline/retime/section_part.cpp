#include "pipeline/retime/section_part.h"

namespace tabard::pipeline {

bool SectionPart::is_whole(SectionSpan const& span) const
{
    KeptSpan const& only = stretches.front();
    return stretches.size() == 1 && only.motion == Motion::forward && only.source == Interval{span.in, span.out} &&
           only.source.length() == only.target.length();
}

namespace {

/// Talk joins bars only on the side where the bars begin or end for good: elsewhere they would play on into it.
bool joins(SectionPart const& part, KeptSpan const& stretch, bool holds_bars, Interval bars)
{
    if (part.target().to != stretch.target.from)
        return false;
    if (holds_bars)
        return !part.music && stretch.source.from <= bars.from;
    return !part.music || part.music->source.to >= bars.to;
}

} // namespace

std::vector<SectionPart> parts_of(SectionSpan const& span, EditMap const& cut)
{
    Interval const bars{span.bars_in, span.bars_out};
    std::vector<SectionPart> parts;
    for (KeptSpan const& stretch : cut.map(Interval{span.in, span.out})) {
        bool const holds_bars = span.map && (!overlap(stretch.source, bars).empty() ||
                                             (stretch.motion == Motion::freeze && bars.contains(stretch.source.from)));
        if (holds_bars && stretch.motion != Motion::forward)
            continue;
        if (parts.empty() || !joins(parts.back(), stretch, holds_bars, bars))
            parts.emplace_back();
        parts.back().stretches.push_back(stretch);
        if (holds_bars)
            parts.back().music = stretch;
    }
    return parts;
}

std::vector<KeptSpan> forward_only(std::vector<KeptSpan> all)
{
    std::erase_if(all, [](KeptSpan const& span) { return span.motion != Motion::forward; });
    return all;
}

std::vector<Interval> targets(std::vector<KeptSpan> const& stretches)
{
    std::vector<Interval> result;
    for (KeptSpan const& stretch : stretches)
        result.push_back(stretch.target);
    return result;
}

std::vector<Interval> filled(std::vector<KeptSpan> const& stretches)
{
    std::vector<Interval> result;
    for (KeptSpan const& stretch : stretches) {
        if (!result.empty() && result.back().to >= stretch.target.from)
            result.back().to = std::max(result.back().to, stretch.target.to);
        else
            result.push_back(stretch.target);
    }
    return result;
}

} // namespace tabard::pipeline
