#include "pipeline/retime/plain_times.h"

#include "pipeline/cues/pin_text.h"
#include "pipeline/time/timecode.h"

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>

namespace tabard::pipeline {
namespace {

using Visit = std::function<void(JsonValue& time)>;

void visit_ends(JsonValue& object, Visit const& visit)
{
    for (char const* key : {"from", "to"})
        if (JsonValue* const time = object.find(key))
            visit(*time);
}

void visit_times(JsonValue& section, Visit const& visit)
{
    visit_ends(section, visit);
    if (JsonValue* const show = section.find("show"))
        for (JsonValue& cue : show->items)
            visit_ends(cue, visit);
    if (JsonValue* const seams = section.find("seams"))
        for (JsonValue& seam : seams->items)
            visit(seam);
    if (JsonValue* const pins = section.find("pins"))
        for (JsonValue& pin : pins->items)
            if (pin.items.size() == 2)
                visit(pin.items[1]);
}

/// The times of the old document as written, by place. A pin made anew has the place of the whole old one.
std::map<SourcePosition, std::string> written_times(JsonValue document)
{
    std::map<SourcePosition, std::string> times;
    JsonValue* const sections = document.find("sections");
    for (JsonValue& section : sections ? sections->items : document.items) {
        visit_times(section, [&](JsonValue& time) { times.emplace(time.at, time.text); });
        if (JsonValue* const pins = section.find("pins"))
            for (JsonValue& pin : pins->items)
                if (pin.items.size() == 2)
                    times.emplace(pin.at, pin.items[1].text);
    }
    return times;
}

Time to_millisecond(Time time)
{
    constexpr std::int64_t kMillisecond = kFlicksPerSecond / 1000;
    std::int64_t const half = time < Time{0} ? -kMillisecond / 2 : kMillisecond / 2;
    return Time{(time.count() + half) / kMillisecond * kMillisecond};
}

bool counts_frames(std::string_view text)
{
    WrittenEnds const ends = written_ends(text);
    return has_frames(ends.from) || (ends.to && has_frames(*ends.to));
}

/// A time, or two where a pin's playing stops, in whole milliseconds. As it is where it cannot be read.
std::string in_milliseconds(std::string const& text)
{
    WrittenEnds const ends = written_ends(text);
    auto const from = parse_time(ends.from);
    auto const to = parse_time(ends.to.value_or(ends.from));
    if (!from || !to || (to_millisecond(*from) == *from && to_millisecond(*to) == *to))
        return text;
    std::string const first = print_time_exact(to_millisecond(*from));
    return ends.to ? first + " to " + print_time_exact(to_millisecond(*to)) : first;
}

/// Whether what shall last or follow still does.
bool keeps_order(JsonValue section)
{
    auto const time_in = [](std::string_view text) {
        auto const time = parse_time(text);
        return time ? std::optional{*time} : std::nullopt;
    };
    auto const time_of = [&](JsonValue const* value) { return value ? time_in(value->text) : std::nullopt; };
    auto const lasts = [&](JsonValue const& object) {
        auto const from = time_of(object.find("from"));
        auto const to = time_of(object.find("to"));
        return !from || !to || *from < *to;
    };
    bool good = lasts(section);
    if (JsonValue* const show = section.find("show"))
        for (JsonValue const& cue : show->items)
            good = good && lasts(cue);
    std::optional<Time> before;
    if (JsonValue* const pins = section.find("pins"))
        for (JsonValue const& pin : pins->items) {
            WrittenEnds const ends = written_ends(pin.items.size() == 2 ? std::string_view(pin.items[1].text) : "");
            auto const reached = time_in(ends.from);
            auto const goes_on = ends.to ? time_in(*ends.to) : std::nullopt;
            good = good && (!reached || !before || *before < *reached) && (!reached || !goes_on || *reached < *goes_on);
            before = goes_on ? goes_on : reached ? reached : before;
        }
    return good;
}

} // namespace

JsonValue with_plain_times(JsonValue document, JsonValue const& old_document)
{
    auto const written = written_times(old_document);
    JsonValue* const sections = document.find("sections");
    for (JsonValue& section : sections ? sections->items : document.items) {
        JsonValue plain = section;
        visit_times(plain, [&](JsonValue& value) {
            auto const old = written.find(value.at);
            if (old != written.end() && (counts_frames(old->second) || old->second == value.text))
                return;
            if (value.kind == JsonValue::Kind::string)
                value.text = in_milliseconds(value.text);
        });
        if (keeps_order(plain))
            section = std::move(plain);
    }
    return document;
}

} // namespace tabard::pipeline
