#include "pipeline/timeline/resting.h"

#include <algorithm>
#include <iterator>
#include <map>

namespace tabard::pipeline {
namespace {

bool is_rest(TempoMap::Stop const& stop) { return stop.next_time - stop.time >= kShortestRest; }

/// What single cues (in any order) take of one part's rests (rising), with too short times beside them. Rising.
std::vector<Interval> taken_by_cues(std::vector<Interval> const& rests, std::vector<Interval> cues)
{
    std::ranges::sort(cues);
    std::vector<Interval> taken;
    std::vector<Interval> open; // cues that have begun and may reach into the rest
    auto next = cues.begin();
    for (Interval const rest : rests) {
        std::erase_if(open, [&](Interval cue) { return cue.to <= rest.from; });
        for (; next != cues.end() && next->from < rest.to; ++next)
            if (next->to > rest.from)
                open.push_back(*next);
        Time free_from = rest.from;
        for (Interval const cue : open) {
            Interval part = overlap(cue, rest);
            if (part.from - free_from < kShortestRest)
                part.from = free_from;
            if (part.to > free_from)
                taken.push_back(part);
            free_from = std::max(free_from, part.to);
        }
        if (free_from > rest.from && rest.to - free_from < kShortestRest)
            taken.back().to = rest.to;
    }
    return taken;
}

/// The same of all parts: each one's rests as the author wrote them, also where a cut has left a piece of one.
template <class Cue>
std::vector<Interval> taken_of_all(std::vector<SectionSpan> const& sections, std::vector<Cue> const& cues)
{
    std::map<int, std::vector<Interval>> single;
    for (Cue const& cue : cues)
        if (!cue.played)
            single[cue.section].push_back({cue.in, cue.out});
    constexpr Interval kEver{Time::min(), Time::max()};
    std::vector<Interval> taken;
    for (SectionSpan const& span : sections) {
        auto const own = single.find(span.section);
        if (!span.map || own == single.end())
            continue;
        for (Interval const part : taken_by_cues(rests_of(*span.map, kEver), std::move(own->second)))
            if (Interval const inside = overlap(part, {span.bars_in, span.bars_out}); !inside.empty())
                taken.push_back(inside);
    }
    std::ranges::sort(taken);
    std::vector<Interval> apart;
    for (Interval const part : taken)
        if (!apart.empty() && part.from <= apart.back().to)
            apart.back().to = std::max(apart.back().to, part.to);
        else
            apart.push_back(part);
    return apart;
}

} // namespace

Time shown_at(TempoMap const& map, std::int64_t offset)
{
    Time const stops = map.end_at(offset);
    Time const goes_on = map.time_at(offset);
    return goes_on - stops < kShortestRest ? goes_on : stops;
}

std::optional<Interval> rest_at(TempoMap const& map, Time time)
{
    auto const after = std::ranges::upper_bound(map.stops(), time, {}, &TempoMap::Stop::time);
    if (after == map.stops().begin() || time >= std::prev(after)->next_time || !is_rest(*std::prev(after)))
        return std::nullopt;
    return Interval{std::prev(after)->time, std::prev(after)->next_time};
}

std::vector<Interval> rests_of(TempoMap const& map, Interval bounds)
{
    std::vector<Interval> rests;
    for (TempoMap::Stop const& stop : map.stops()) {
        if (!is_rest(stop))
            continue;
        Interval const rest = overlap({stop.time, stop.next_time}, bounds);
        if (!rest.empty())
            rests.push_back(rest);
    }
    return rests;
}

std::map<int, std::vector<Interval>> rests_by_section(std::vector<SectionSpan> const& sections)
{
    std::map<int, std::vector<Interval>> rests;
    for (SectionSpan const& span : sections)
        if (span.map)
            rests[span.section] = rests_of(*span.map, {span.bars_in, span.bars_out});
    return rests;
}

std::vector<Interval> taken_in_rests(std::vector<SectionSpan> const& sections, std::vector<ChordSpan> const& chords)
{
    return taken_of_all(sections, chords);
}

std::vector<Interval> taken_in_rests(std::vector<SectionSpan> const& sections, std::vector<StrumSpan> const& strums)
{
    return taken_of_all(sections, strums);
}

std::vector<Interval> without(Interval stretch, std::vector<Interval> const& taken)
{
    std::vector<Interval> left;
    auto part = std::ranges::upper_bound(taken, stretch.from, {}, &Interval::to);
    for (; part != taken.end() && part->from < stretch.to; ++part) {
        if (part->from > stretch.from)
            left.push_back({stretch.from, part->from});
        stretch.from = part->to;
    }
    if (!stretch.empty())
        left.push_back(stretch);
    return left;
}

} // namespace tabard::pipeline
