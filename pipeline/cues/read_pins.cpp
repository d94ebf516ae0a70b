#include "pipeline/cues/object_reader.h"
#include "pipeline/cues/pin_text.h"
#include "pipeline/time/timecode.h"

#include <array>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

bool is_scalar(JsonValue const& value)
{
    return value.kind == JsonValue::Kind::string || value.kind == JsonValue::Kind::number;
}

/// One end of a value that says two, at the place of the whole.
JsonValue end_of(JsonValue const& value, std::string_view text)
{
    JsonValue end = value;
    end.text = text;
    return end;
}

/// "0:37 to 0:43" for "0:37 - 0:43", "0:37 until 0:43" and the like, where `can_read` takes both ends; else empty.
template <class CanRead>
std::string likely_ends(std::string_view text, CanRead const& can_read)
{
    constexpr std::array<std::string_view, 13> kWords{"until", "till",   "through", "TO",     "To", "to", "->",
                                                      "=>",    "\u2192", "\u2013",  "\u2014", "..", "-"};
    constexpr std::size_t kLongest = 60;
    if (text.size() > kLongest)
        return "";
    for (std::string_view const word : kWords) {
        auto const at = text.find(word, 1);
        if (at == std::string_view::npos)
            continue;
        std::string const joined = fmt::format("{} to {}", text.substr(0, at), text.substr(at + word.size()));
        WrittenEnds const ends = written_ends(joined);
        if (can_read(ends.from) && can_read(*ends.to))
            return fmt::format("{} to {}", ends.from, *ends.to);
    }
    return "";
}

bool is_place(std::string_view text) { return BarPosition::parse(text).has_value(); }
bool is_time(std::string_view text)
{
    return parse_time(text).has_value() ||
           (has_frames(text) && text.find_first_not_of("0123456789:;", 1) == std::string_view::npos);
}

/// A pin's place and the one that the playing goes on with.
struct Places {
    BarPosition from;
    BarPosition to;
};

std::optional<Places> read_places(ReadContext& context, JsonValue const& value, overlay::Meter meter)
{
    WrittenEnds const ends = written_ends(value.kind == JsonValue::Kind::string ? std::string_view(value.text) : "");
    std::string const likely =
        !ends.to && is_scalar(value) && !is_place(value.text) ? likely_ends(value.text, is_place) : "";
    if (!likely.empty()) {
        context.error("bad-pin", value.at, fmt::format("'{}' is no place in the bars", value.text),
                      fmt::format("write \"{}\" where the bars between are skipped", likely));
        return std::nullopt;
    }
    auto const from = read_position(context, ends.to ? end_of(value, ends.from) : value, meter);
    auto const to = ends.to ? read_position(context, end_of(value, *ends.to), meter) : from;
    if (!from || !to)
        return std::nullopt;
    if (ends.to && *to == *from) {
        context.error("bad-pin", value.at, fmt::format("'{}' skips nothing", value.text),
                      fmt::format("write \"{}\"", ends.from));
        return std::nullopt;
    }
    if (*to < *from) {
        context.error("bad-pin", value.at,
                      fmt::format("the chart cannot go back from {} to {}", from->text(), to->text()),
                      fmt::format("where bar {} is begun anew, let it wait: [\"{}\", \"first time to last time\"]; "
                                  "bars that are played twice are written twice in \"bars\"",
                                  to->bar, to->text()));
        return std::nullopt;
    }
    return Places{*from, *to};
}

/// When a pin is reached and when the playing goes on.
struct Times {
    Time from;
    Time to;
};

std::optional<Times> read_times(ReadContext& context, JsonValue const& value)
{
    WrittenEnds const ends = written_ends(value.kind == JsonValue::Kind::string ? std::string_view(value.text) : "");
    std::string const likely =
        !ends.to && is_scalar(value) && !is_time(value.text) ? likely_ends(value.text, is_time) : "";
    if (!likely.empty()) {
        context.error("bad-time", value.at, fmt::format("'{}' is no time", value.text),
                      fmt::format("write \"{}\" where the playing stops between", likely));
        return std::nullopt;
    }
    auto const end = [&](std::string_view text, std::string const& before, std::string const& after) {
        return context.time(end_of(value, text), ReadContext::Sign::any, before, after);
    };
    auto const from =
        ends.to ? end(ends.from, "", fmt::format(" to {}", *ends.to)) : context.time(value, ReadContext::Sign::any);
    auto const to = ends.to ? end(*ends.to, fmt::format("{} to ", ends.from), "") : from;
    if (!from || !to)
        return std::nullopt;
    if (ends.to && **to <= **from) {
        bool const none = **to == **from;
        context.error("bad-pin", value.at, none ? "this pause has no length" : "this pause ends before it begins",
                      none ? fmt::format("write \"{}\"", ends.from)
                           : fmt::format("if the two are in the wrong order, write \"{} to {}\"", *ends.to, ends.from));
        return std::nullopt;
    }
    return Times{**from, **to};
}

/// What to write for a list that is no pin.
std::string advice_of_list(JsonValue const& value)
{
    auto const& items = value.items;
    if (items.size() == 3 && is_scalar(items[0]) && is_scalar(items[1]) && is_scalar(items[2]) &&
        is_place(items[0].text) && is_time(items[1].text) && is_time(items[2].text))
        return fmt::format("write [\"{}\", \"{} to {}\"] where the playing stops between", items[0].text, items[1].text,
                           items[2].text);
    return "write [\"5.1\", \"1:42.6\"]";
}

std::optional<Pin> read_pin(ReadContext& context, JsonValue const& value, overlay::Meter meter)
{
    if (value.kind != JsonValue::Kind::array || value.items.size() != 2) {
        context.error("bad-pin", value.at, "a pin is a list of two: a place in the bars and its time",
                      advice_of_list(value));
        return std::nullopt;
    }
    auto const places = read_places(context, value.items[0], meter);
    auto const times = read_times(context, value.items[1]);
    if (!places || !times)
        return std::nullopt;
    Pin pin{places->from, times->from, value.at};
    if (places->to != places->from || times->to != times->from)
        pin.goes_on = Pin::GoesOn{places->to, times->to};
    return pin;
}

/// Says what is wrong with a pin that does not come after the one before it.
void report_order(ReadContext& context, Pin const& pin, Pin const& before)
{
    std::string const name = pin.position.text();
    std::string const other = before.position.text();
    if (pin.position > before.position && pin.position <= before.next_position())
        context.error("pin-order", pin.at,
                      fmt::format("pin {} lies among the bars that pin {} skips ({})", name, other, pin_place(before)),
                      fmt::format("take it out, or write a place after {}", before.next_position().text()));
    else if (pin.position > before.position && pin.time > before.time)
        context.error("pin-order", pin.at,
                      fmt::format("pin {} lies in the pause of pin {} ({})", name, other, pin_time(before)),
                      fmt::format("write a time after {}, or end that pause before {}",
                                  print_time_exact(before.next_time()), print_time_exact(pin.time)));
    else
        context.error("pin-order", pin.at,
                      fmt::format("pin {} does not come after pin {} in place and in time", name, other),
                      "write pins in the order of the film");
}

} // namespace

std::optional<BarPosition> read_position(ReadContext& context, JsonValue const& value, overlay::Meter meter)
{
    Result<BarPosition> const position = BarPosition::parse(is_scalar(value) ? std::string_view(value.text) : "");
    if (!position) {
        context.error("bad-pin", value.at, position.error().what, "write bar and beat, as in \"5.1\"");
        return std::nullopt;
    }
    if (position->beat > meter.beats) {
        context.error("bad-pin", value.at, fmt::format("there is no beat {} in {}", position->beat, meter.text()),
                      "count beats as the meter is written, from 1");
        return std::nullopt;
    }
    return *position;
}

void read_pins(ReadContext& context, JsonValue const& list, Section& section)
{
    for (JsonValue const& value : list.items) {
        if (!context.count_cues(1, value.at))
            return;
        auto const pin = read_pin(context, value, *section.meter);
        if (!pin)
            continue;
        Pin const* before = section.pins.empty() ? nullptr : &section.pins.back();
        if (before && (pin->position <= before->next_position() || pin->time <= before->next_time()))
            report_order(context, *pin, *before);
        else
            section.pins.push_back(*pin);
    }
}

void check_skips(ReadContext& context, Section const& section)
{
    if (!section.bars)
        return;
    BarPosition const end{section.bars->value.bars() + 1, 1, 0};
    for (Pin const& pin : section.pins)
        if (pin.next_position() != pin.position && pin.next_position() > end)
            context.error("bad-pin", pin.at,
                          fmt::format("this part has {} bars; the playing cannot go on with {}",
                                      section.bars->value.bars(), pin.next_position().text()),
                          fmt::format("write a place in its bars, or {} where it ends there", end.text()));
}

} // namespace tabard::pipeline
