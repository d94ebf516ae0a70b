#include "pipeline/listen/heard_document.h"

#include "pipeline/cues/pin_text.h"
#include "pipeline/time/timecode.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {

namespace {

JsonValue pins_value(std::vector<Pin> const& pins)
{
    std::vector<JsonValue> items;
    for (Pin const& pin : pins)
        items.push_back(pin_value(pin));
    return JsonValue::array(std::move(items));
}

JsonValue tempo_value(Tempo tempo)
{
    JsonValue value = JsonValue::number(0);
    value.text = fmt::format("{:.1f}", static_cast<double>(tempo.thousandths) / 1000);
    if (value.text.ends_with(".0"))
        value.text.resize(value.text.size() - 2);
    return value;
}

/// A section on its way to its new times.
struct Moved {
    Section const* written;
    SectionTimes times;
    std::optional<Time> played_to; ///< where it was heard with confidence

    /// When the first thing comes that it shows by itself.
    std::optional<Time> first_cue() const
    {
        return written->show.empty() ? std::nullopt : std::optional(*written->show.front().from);
    }
    /// Where it is not heard, it may begin then.
    bool may_begin(Time time) const
    {
        return !played_to && (!times.to || time < *times.to) && (!first_cue() || time <= *first_cue());
    }
};

SectionTimes written_times(Section const& section)
{
    auto const time_of = [](std::optional<Sourced<Time>> const& written) {
        return written ? std::optional(**written) : std::nullopt;
    };
    return {time_of(section.from), time_of(section.to)};
}

/// What is played, and what it shows before and after.
SectionTimes times_with_cues(Section const& section, std::vector<Pin> const& pins)
{
    Time from = pins.front().time, to = pins.back().time;
    for (ShowCue const& cue : section.show) {
        from = std::min(from, *cue.from);
        to = std::max(to, cue.to ? **cue.to : *cue.from);
    }
    return {from, section.to ? std::optional(to) : std::nullopt};
}

void settle(Moved& section, Moved& next)
{
    auto& end = section.times.to;
    auto& begin = next.times.from;
    if (!end && section.played_to && *section.played_to > *begin) // its bars would reach into the next
        end = section.played_to;
    if (!end || *begin <= *section.times.from)
        return;
    bool const touched = section.written->to && next.written->from && **section.written->to == **next.written->from;
    if (*end < *begin && !touched)
        return;
    if (*end != *begin && next.may_begin(*end))
        begin = *end;
    else if (*end > *begin || !section.played_to)
        end = *begin;
}

void set_times(JsonValue& object, SectionTimes const& before, SectionTimes const& after)
{
    if (after.from && after.from != before.from)
        object.set_after("name", "from", JsonValue::string(print_time_exact(*after.from)));
    if (after.to && after.to != before.to)
        object.set_after("from", "to", JsonValue::string(print_time_exact(*after.to)));
}

/// A part that says no time and has no bars begins where the one before it in the file ends.
void place_between(std::vector<Moved>& sections)
{
    for (std::size_t n = 0; n < sections.size(); ++n) {
        auto& from = sections[n].times.from;
        if (from || sections[n].written->bars)
            continue;
        auto const end = n == 0                      ? std::optional(Time{0})
                         : sections[n - 1].played_to ? sections[n - 1].played_to
                                                     : sections[n - 1].times.to;
        auto const next = n + 1 < sections.size() ? sections[n + 1].times.from : std::nullopt;
        if (end && (!next || *end < *next))
            from = end;
    }
}

} // namespace

std::vector<SectionTimes> heard_times(Lesson const& lesson, LessonHeard const& heard)
{
    std::vector<Moved> sections;
    for (Section const& section : lesson.sections)
        sections.push_back({&section, written_times(section), std::nullopt});
    for (HeardSection const& found : heard.sections) {
        if (!found.trusted())
            continue;
        Moved& section = sections[static_cast<std::size_t>(found.section)];
        section.times = times_with_cues(*section.written, found.pins);
        section.played_to = found.pins.back().time;
    }
    std::vector<Moved*> in_order;
    for (Moved& section : sections)
        if (section.times.from)
            in_order.push_back(&section);
    std::ranges::stable_sort(in_order, {}, [](Moved const* section) { return *section->times.from; });
    for (std::size_t n = 0; n + 1 < in_order.size(); ++n)
        settle(*in_order[n], *in_order[n + 1]);
    place_between(sections);
    std::vector<SectionTimes> times;
    for (Moved const& section : sections)
        times.push_back(section.times);
    return times;
}

JsonValue with_heard_pins(JsonValue document, Lesson const& lesson, LessonHeard const& heard)
{
    JsonValue* const sections = document.find("sections");
    if (!sections)
        return document;
    auto const times = heard_times(lesson, heard);
    auto const object_of = [&](SourcePosition at) {
        auto const item = std::ranges::find(sections->items, at, &JsonValue::at);
        return item == sections->items.end() ? nullptr : &*item;
    };
    for (std::size_t n = 0; n < times.size(); ++n) {
        Section const& section = lesson.sections[n];
        if (JsonValue* const object = object_of(section.at))
            set_times(*object, written_times(section), times[n]);
    }
    for (HeardSection const& section : heard.sections) {
        JsonValue* const object = section.trusted() ? object_of(section.at) : nullptr;
        if (!object)
            continue;
        object->set("tempo", tempo_value(section.tempo));
        object->erase("pins"); // many as they are, they stand last, out of the chart's way
        object->set("pins", pins_value(section.pins));
    }
    return document;
}

} // namespace tabard::pipeline
