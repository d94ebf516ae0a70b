#include "pipeline/retime/bake_section.h"

#include "pipeline/cues/pin_text.h"
#include "pipeline/retime/seam_before.h"
#include "pipeline/time/timecode.h"
#include "pipeline/timeline/resting.h"

#include <algorithm>
#include <array>
#include <iterator>
#include <set>

namespace tabard::pipeline {
namespace {

constexpr std::array<std::string_view, 3> kShowKeys{"chord", "text", "strum"};

/// Puts a time where `key` stands, or behind `after` where it is new. The place in the old file stays.
void set_time(JsonValue& object, std::string_view key, Time time, std::string_view after)
{
    JsonValue value = JsonValue::string(print_time_exact(time));
    value.at = object.at;
    if (JsonValue* const old = object.find(key)) {
        value.at = old->at;
        *old = std::move(value);
        return;
    }
    auto const found = std::ranges::find(object.members, after, &JsonValue::Member::key);
    auto const place = found == object.members.end() ? found : std::next(found);
    object.members.insert(place, {std::string{key}, std::move(value), object.at});
}

JsonValue pin_json(Pin const& pin, SourcePosition at)
{
    JsonValue json = pin_value(pin);
    json.at = json.items[0].at = json.items[1].at = at;
    return json;
}

/// A pin with its times moved; a pause of which the cut has left nothing is none any more.
template <class Reach, class GoOn>
Pin moved_pin(Pin pin, Reach const& reach, GoOn const& go_on)
{
    Pin moved{pin.position, reach(pin.time), pin.at};
    Time const goes_on = pin.goes_on ? go_on(pin.goes_on->time) : moved.time;
    if (pin.next_position() != pin.position || goes_on > moved.time)
        moved.goes_on = Pin::GoesOn{pin.next_position(), goes_on};
    return moved;
}

/// A pin in the new film. Where stretches meet in its pause, its playing ends in the first and goes on in the last.
Pin moved_pin(Pin const& pin, std::vector<KeptSpan> const& music)
{
    auto const reach = [&](Time time) {
        auto const stretch = std::ranges::find_if(music, [&](KeptSpan const& each) { return each.source.to >= time; });
        return (stretch == music.end() ? music.back() : *stretch).forth(time);
    };
    auto const go_on = [&](Time time) {
        auto const after =
            std::find_if(music.rbegin(), music.rend(), [&](KeptSpan const& each) { return each.source.from <= time; });
        return (after == music.rend() ? music.front() : *after).forth(time);
    };
    return moved_pin(pin, reach, go_on);
}

/// From `last` on, behind the pins that skip bars of the row that is seen while `bar` is played.
std::vector<Pin>::const_iterator after_shown_skips(std::vector<Pin> const& pins, std::vector<Pin>::const_iterator last,
                                                   int bar)
{
    int seen_to = bar + overlay::kBarsAhead;
    for (auto pin = last; pin != pins.end() && pin->position.bar <= seen_to; ++pin) {
        if (pin->next_position() == pin->position)
            continue;
        seen_to += pin->next_position().bar - pin->position.bar;
        last = std::next(pin);
    }
    return last;
}

/// Pins that say where the bars lie in the old film: the author's around what is left of them, or one made of the start
/// and the tempo. Two at least where the speed changes, or where nothing but the end of the part says the tempo.
std::vector<Pin> pins_around(Section const& section, SectionSpan const& span, SectionPart const& part)
{
    std::vector<Pin> const& own = section.pins;
    if (own.size() >= 2) {
        Interval const source = part.music_source();
        auto first = std::ranges::upper_bound(own, source.from, {}, &Pin::time);
        auto last = std::ranges::lower_bound(own, source.to, {}, &Pin::time);
        first = first == own.begin() ? first : std::prev(first);
        last = last == own.end() ? last : std::next(last);
        last = after_shown_skips(own, last,
                                 BarPosition::from_offset(span.map->offset_at(source.to), span.map->meter()).bar);
        if (last - first < 2)
            first == own.begin() ? last = std::next(first, 2) : first = std::prev(last, 2);
        return {first, last};
    }
    std::vector<Pin> pins = own;
    if (pins.empty())
        pins.push_back({BarPosition{}, span.map->time_at(BarPosition{}), section.at});
    pins.front().at = section.at;
    bool const as_fast = std::ranges::all_of(
        part.music, [](KeptSpan const& each) { return each.source.length() == each.target.length(); });
    if (!as_fast || !section.tempo) {
        BarPosition const end{std::max(section.bars->value.bars(), pins.front().next_position().bar) + 1, 1, 0};
        pins.push_back({end, span.map->end_at(end), section.at});
    }
    return pins;
}

/// The author's own words for a pin's place, where there are some.
JsonValue rebuilt_pins(SectionOrigin const& origin, SectionPart const& part)
{
    JsonValue pins = JsonValue::array({});
    JsonValue const* const old = origin.json->find("pins");
    pins.at = old != nullptr ? old->at : origin.json->at;
    for (Pin const& pin : pins_around(*origin.section, *origin.span, part)) {
        JsonValue json = pin_json(moved_pin(pin, part.music), pin.at);
        for (std::size_t i = 0; old != nullptr && i < old->items.size(); ++i)
            if (old->items[i].at == pin.at && old->items[i].items.size() == 2)
                json.items[0] = old->items[i].items[0];
        pins.items.push_back(std::move(json));
    }
    return pins;
}

JsonValue piece_json(BarPosition from_bar, SourcePosition at)
{
    JsonValue json = JsonValue::object({{"from_bar", JsonValue::string(from_bar.text()), at}});
    json.at = json.members[0].value.at = at;
    return json;
}

/// The beat that is seen where a stretch begins: what a player would say.
BarPosition first_beat(SectionSpan const& span, Interval source)
{
    Time const from = std::max(source.from, span.bars_in);
    std::int64_t place = span.map->offset_at(from);
    if (shown_at(*span.map, place) > from) // in a breath the beat before it is still seen
        place = span.map->place_before(place, 1);
    BarPosition const exact = BarPosition::from_offset(place, span.map->meter());
    return std::max(BarPosition{exact.bar, exact.beat, 0}, BarPosition{});
}

void erase_music(JsonValue& json)
{
    if (JsonValue const* const as = json.find("as"); as && !json.find("name"))
        json.members.insert(json.members.begin(), {"name", JsonValue(*as), json.at});
    for (std::string_view const key : {"as", "bars", "pins", "piece", "count_in", "strum", "words", "tempo", "meter"})
        json.erase(key);
}

void bake_music(SectionOrigin const& origin, SectionPart const& part, BakedSection& baked)
{
    SectionSpan const& span = *origin.span;
    if (!span.map)
        return;
    baked.has_music = !part.music.empty();
    if (!baked.has_music) {
        erase_music(baked.json);
        return;
    }
    if (!origin.count_in->leads_to(part.music.front()))
        baked.json.erase("count_in");
    baked.json.set("pins", rebuilt_pins(origin, part));
    baked.json.erase("piece");
    Interval const source = part.music_source();
    if (!overlap(source, {span.bars_in, span.bars_out}).empty() &&
        (source.from > span.bars_in || source.to < span.bars_out || origin.section->piece))
        baked.json.set("piece", piece_json(first_beat(span, source), origin.json->at));
}

/// Something that an object of "show" shows, until `end`.
struct CueContent {
    std::string_view key;
    ShownCue::Kind kind;
    Time end;
};

/// An object of "show" in the new section.
struct NewCue {
    JsonValue json;
    Time from;
    std::vector<CueContent> contents;
    bool had_end = false;
};

/// What an object of "show" shows, each with its time on screen.
std::vector<std::pair<std::string_view, ShownCue>> contents(JsonValue const& object, ShownCues const& shown)
{
    std::vector<std::pair<std::string_view, ShownCue>> result;
    for (std::string_view const key : kShowKeys) {
        JsonValue const* const value = object.find(key);
        auto const found = value == nullptr ? shown.end() : shown.find(value->at);
        if (found != shown.end())
            result.emplace_back(key, found->second);
    }
    return result;
}

/// The part that a stretch of a cue goes to: where it begins, or which it reaches into; else the last one before it.
std::size_t part_of(KeptSpan const& stretch, std::vector<SectionPart> const& parts)
{
    auto const after = std::ranges::upper_bound(parts, stretch.target.from, {},
                                                [](SectionPart const& part) { return part.target().from; });
    auto const index = static_cast<std::size_t>(after - parts.begin());
    bool const begins_within = index > 0 && stretch.target.from < parts[index - 1].target().to;
    bool const reaches_next = index < parts.size() && stretch.target.to > parts[index].target().from;
    return begins_within || !reaches_next ? std::max<std::size_t>(index, 1) - 1 : index;
}

using Seen = std::map<std::size_t, std::vector<Interval>>;

/// When a cue is seen in each part.
Seen seen_in_parts(Interval on_screen, EditMap const& cut, std::vector<SectionPart> const& parts)
{
    std::map<std::size_t, std::vector<KeptSpan>> stretches;
    for (KeptSpan const& stretch : cut.map(on_screen))
        stretches[part_of(stretch, parts)].push_back(stretch);
    Seen seen;
    for (auto const& [part, own] : stretches)
        seen[part] = filled(own);
    return seen;
}

JsonValue only(JsonValue object, std::string_view key)
{
    for (std::string_view const other : kShowKeys)
        if (other != key)
            object.erase(other);
    return object;
}

bool begin_together(Seen const& a, Seen const& b)
{
    auto const same_starts = [](std::vector<Interval> const& one, std::vector<Interval> const& other) {
        return std::ranges::equal(one, other, {}, &Interval::from, &Interval::from);
    };
    return std::ranges::equal(a, b, [&](auto const& one, auto const& other) {
        return one.first == other.first && same_starts(one.second, other.second);
    });
}

/// What one object of "show" becomes: an object for each time that it is seen, and one for each thing that it shows
/// where the cut parted them.
void add_new_cues(JsonValue const& object, SectionOrigin const& origin, std::vector<SectionPart> const& parts,
                  std::vector<std::vector<NewCue>>& cues)
{
    auto const things = contents(object, *origin.shown);
    std::vector<Seen> seen;
    for (auto const& [key, cue] : things)
        seen.push_back(seen_in_parts(cue.on_screen, *origin.cut, parts));
    bool const together =
        std::ranges::all_of(seen, [&](Seen const& each) { return begin_together(each, seen.front()); });
    bool const had_end = object.find("to") != nullptr;
    for (std::size_t i = 0; i < (together ? std::min<std::size_t>(1, seen.size()) : seen.size()); ++i) {
        for (auto const& [part, intervals] : seen[i]) {
            for (std::size_t n = 0; n < intervals.size(); ++n) {
                NewCue cue{together ? object : only(object, things[i].first), intervals[n].from, {}, had_end};
                for (std::size_t k = together ? 0 : i; k < (together ? seen.size() : i + 1); ++k)
                    cue.contents.push_back({things[k].first, things[k].second.kind, seen[k].at(part)[n].to});
                cues[part].push_back(std::move(cue));
            }
        }
    }
}

/// Where a thing without "to" ends: at the next of its kind, at the first bar after it, or with the section.
Time open_end(std::vector<NewCue> const& cues, std::size_t index, ShownCue::Kind kind, Time section_end,
              std::optional<Time> bars_in)
{
    for (std::size_t i = index + 1; i < cues.size(); ++i)
        if (std::ranges::find(cues[i].contents, kind, &CueContent::kind) != cues[i].contents.end())
            return cues[i].from;
    bool const bars_follow = bars_in && kind != ShownCue::Kind::text && cues[index].from < *bars_in;
    return bars_follow ? *bars_in : section_end;
}

void set_show(JsonValue& json, std::vector<NewCue> cues, Time section_end, std::optional<Time> bars_in)
{
    if (cues.empty()) {
        json.erase("show");
        return;
    }
    std::ranges::stable_sort(cues, {}, &NewCue::from);
    std::vector<JsonValue>& objects = json.find("show")->items;
    for (std::size_t i = 0; i < cues.size(); ++i) {
        NewCue const& cue = cues[i];
        JsonValue object = cue.json;
        set_time(object, "from", cue.from, "from");
        auto const ends_openly = [&](CueContent const& content) {
            return open_end(cues, i, content.kind, section_end, bars_in) == content.end;
        };
        if (!cue.had_end && std::ranges::all_of(cue.contents, ends_openly)) {
            objects.push_back(std::move(object));
            continue;
        }
        bool const end_alike = std::ranges::all_of(
            cue.contents, [&](CueContent const& content) { return content.end == cue.contents.front().end; });
        for (CueContent const& content : cue.contents) {
            objects.push_back(end_alike ? object : only(object, content.key));
            set_time(objects.back(), "to", content.end, "from");
            if (end_alike)
                break;
        }
    }
}

std::optional<Time> bars_start(SectionOrigin const& origin, SectionPart const& part)
{
    if (part.music.empty())
        return std::nullopt;
    return part.music.front().forth(std::max(origin.span->bars_in, part.music.front().source.from));
}

/// Notes the seams that what comes on at `starts` would fade in over. Those of a section that is whole stay beside
/// them.
void bake_seams(SectionOrigin const& origin, SectionPart const& part, std::vector<Time> const& starts,
                BakedSection& baked)
{
    std::vector<Time> const& old = origin.section->seams;
    std::set<Time> seams;
    if (part.is_whole(*origin.span))
        for (Time const seam : old)
            if (Time const moved = part.stretches.front().target.from + (seam - part.stretches.front().source.from);
                moved > Time{0})
                seams.insert(moved);
    for (Time const start : starts)
        if (auto const seam = seam_before(start, *origin.cut, old); seam && *seam > baked.target.from)
            seams.insert(*seam);
    if (std::ranges::equal(seams, old))
        return;
    baked.json.erase("seams");
    if (seams.empty())
        return;
    JsonValue list = JsonValue::array({});
    for (Time const seam : seams) {
        list.items.push_back(JsonValue::string(print_time_exact(seam)));
        list.items.back().at = origin.json->at;
    }
    list.at = origin.json->at;
    baked.json.set("seams", std::move(list));
}

/// `starts` receives of each part when its cues come on.
void bake_show(SectionOrigin const& origin, std::vector<SectionPart> const& parts, std::vector<BakedSection>& baked,
               std::vector<std::vector<Time>>& starts)
{
    JsonValue const* const show = origin.json->find("show");
    if (show == nullptr || parts.empty()) // a cue may last beyond its section, but has no place without it
        return;
    std::vector<std::vector<NewCue>> cues(parts.size());
    for (JsonValue const& object : show->items)
        add_new_cues(object, origin, parts, cues);
    for (std::size_t i = 0; i < parts.size(); ++i) {
        std::ranges::transform(cues[i], std::back_inserter(starts[i]), &NewCue::from);
        std::optional<Time> const bars_in = bars_start(origin, parts[i]);
        set_show(baked[i].json, std::move(cues[i]), baked[i].target.to, bars_in);
    }
}

/// A section that is whole keeps the author's form: its times are moved, none is added.
void move_times(SectionOrigin const& origin, Time by, BakedSection& baked)
{
    Section const& section = *origin.section;
    if (section.from && baked.json.find("from") != nullptr)
        set_time(baked.json, "from", **section.from + by, "name");
    if (section.to && baked.json.find("to") != nullptr)
        set_time(baked.json, "to", **section.to + by, "from");
    baked.end_is_open = baked.json.find("to") == nullptr;
    SectionSpan const& span = *origin.span;
    if (span.map) {
        BarPosition const end{section.bars->value.bars() + 1, 1, 0};
        baked.bars_end_it = span.map->end_at(end) == span.out;
    }
    auto const move = [&](Time time) { return time + by; };
    if (JsonValue* const pins = baked.json.find("pins"))
        for (JsonValue& json : pins->items)
            for (Pin const& pin : section.pins)
                if (pin.at == json.at)
                    json.items[1] = pin_json(moved_pin(pin, move, move), json.items[1].at).items[1];
}

BakedSection bake_frame(SectionOrigin const& origin, SectionPart const& part, JsonValue const& frame)
{
    BakedSection baked;
    baked.json = frame;
    baked.target = part.target();
    baked.origin = origin.index;
    if (!part.is_whole(*origin.span)) {
        set_time(baked.json, "from", baked.target.from, "name");
        set_time(baked.json, "to", baked.target.to, "from");
        bake_music(origin, part, baked);
        return baked;
    }
    baked.has_music = !part.music.empty();
    move_times(origin, part.stretches.front().target.from - part.stretches.front().source.from, baked);
    if (origin.section->count_in > 0 && baked.has_music && !origin.count_in->leads_to(part.music.front()))
        baked.json.erase("count_in");
    return baked;
}

} // namespace

CountInSeen::CountInSeen(SectionSpan const& span, Section const& section, EditMap const& cut)
{
    if (section.count_in == 0 || !span.map)
        return;
    m_before = {span.map->time_at(BarPosition{1 - section.count_in, 1, 0}), span.map->end_at(BarPosition{})};
    for (KeptSpan const& stretch : forward_only(cut.map(m_before)))
        if (stretch.source == m_before)
            m_ends.push_back(stretch.target.to);
    std::ranges::sort(m_ends);
}

bool CountInSeen::leads_to(KeptSpan const& music) const
{
    return music.source.from <= m_before.to && m_before.to < music.source.to &&
           std::ranges::binary_search(m_ends, music.forth(m_before.to));
}

std::vector<BakedSection> bake(SectionOrigin const& origin, std::vector<SectionPart> const& parts)
{
    std::vector<BakedSection> baked;
    // The objects of "show" are dealt out below: copying all of them to every part first would take the square of them.
    JsonValue frame = *origin.json;
    if (JsonValue* const show = frame.find("show"))
        show->items.clear();
    for (SectionPart const& part : parts)
        baked.push_back(bake_frame(origin, part, frame));
    std::vector<std::vector<Time>> starts(parts.size());
    bake_show(origin, parts, baked, starts);
    for (std::size_t i = 0; i < parts.size(); ++i) {
        if (auto const bars = bars_start(origin, parts[i]))
            starts[i].push_back(*bars);
        bake_seams(origin, parts[i], starts[i], baked[i]);
    }
    return baked;
}

} // namespace tabard::pipeline
