#include "pipeline/retime/section_part.h"

#include "pipeline/timeline/resting.h"

#include <algorithm>
#include <iterator>

namespace tabard::pipeline {

bool SectionPart::is_whole(SectionSpan const& span) const
{
    KeptSpan const& only = stretches.front();
    return stretches.size() == 1 && only.motion == Motion::forward && only.source == Interval{span.in, span.out} &&
           only.source.length() == only.target.length();
}

namespace {

/// The pause that both times lie in, so that a cut between them makes it longer or shorter; null where there is none.
TempoMap::Stop const* common_pause(SectionSpan const& span, Time one, Time other)
{
    auto const& stops = span.map->stops();
    auto const after = std::ranges::upper_bound(stops, std::min(one, other), {}, &TempoMap::Stop::time);
    if (after == stops.begin() || !std::prev(after)->pauses() || std::max(one, other) > std::prev(after)->next_time)
        return nullptr;
    return &*std::prev(after);
}

/// Whether the bars of a part go on in a stretch that follows it, after a pause of which something may be cut. A rest
/// of which only a breath is left stays in two pieces, so that over each picture stands what stood there.
bool meet_in_pause(SectionPart const& part, KeptSpan const& stretch, SectionSpan const& span)
{
    KeptSpan const& last = part.music.back();
    TempoMap::Stop const* const pause = common_pause(span, last.source.to, stretch.source.from);
    if (pause == nullptr || part.stretches.back() != last)
        return false;
    auto const stops_in =
        std::ranges::find_if(part.music, [&](KeptSpan const& each) { return each.source.to >= pause->time; });
    Time const left = stretch.forth(pause->next_time) - stops_in->forth(pause->time);
    bool const was_breath = pause->next_time - pause->time < kShortestRest;
    return was_breath || left == Time{0} || left >= kShortestRest;
}

/// Talk joins bars only on the side where the bars begin or end for good: elsewhere they would play on into it. Bars
/// join bars in a pause.
bool joins(SectionPart const& part, KeptSpan const& stretch, bool holds_bars, SectionSpan const& span)
{
    if (part.target().to != stretch.target.from)
        return false;
    if (part.music.empty())
        return !holds_bars || stretch.source.from <= span.bars_in;
    return holds_bars ? meet_in_pause(part, stretch, span) : part.music.back().source.to >= span.bars_out;
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
        if (parts.empty() || !joins(parts.back(), stretch, holds_bars, span))
            parts.emplace_back();
        parts.back().stretches.push_back(stretch);
        if (holds_bars)
            parts.back().music.push_back(stretch);
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
