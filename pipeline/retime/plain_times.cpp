#include "pipeline/retime/plain_times.h"

#include "pipeline/time/timecode.h"

#include <functional>
#include <map>
#include <optional>
#include <string>

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

/// Whether what shall last or follow still does.
bool keeps_order(JsonValue section)
{
    auto const time_of = [](JsonValue const* value) {
        auto const time = value ? parse_time(value->text) : Result<Time>{Error{}};
        return time ? std::optional{*time} : std::nullopt;
    };
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
            auto const time = time_of(pin.items.size() == 2 ? &pin.items[1] : nullptr);
            good = good && (!time || !before || *before < *time);
            before = time ? time : before;
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
            if (old != written.end() && (has_frames(old->second) || old->second == value.text))
                return;
            auto const time = value.kind == JsonValue::Kind::string ? parse_time(value.text) : Result<Time>{Error{}};
            if (time && to_millisecond(*time) != *time)
                value.text = print_time_exact(to_millisecond(*time));
        });
        if (keeps_order(plain))
            section = std::move(plain);
    }
    return document;
}

} // namespace tabard::pipeline
