#include "pipeline/cues/pin_text.h"

#include "pipeline/time/timecode.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::string_view without_blanks(std::string_view text)
{
    auto const first = text.find_first_not_of(' ');
    return first == std::string_view::npos ? "" : text.substr(first, text.find_last_not_of(' ') + 1 - first);
}

} // namespace

WrittenEnds written_ends(std::string_view text)
{
    constexpr std::string_view kWord = " to ";
    auto const word = text.find(kWord);
    if (word == std::string_view::npos)
        return {text, std::nullopt};
    return {without_blanks(text.substr(0, word)), without_blanks(text.substr(word + kWord.size()))};
}

Result<Pin> parse_pin(std::string_view place, std::string_view time)
{
    WrittenEnds const places = written_ends(place);
    WrittenEnds const times = written_ends(time);
    Pin pin;
    TRY_ASSIGN(pin.position, BarPosition::parse(places.from));
    TRY_ASSIGN(pin.time, parse_time(times.from));
    if (!places.to && !times.to)
        return pin;
    TRY_ASSIGN(BarPosition const next, BarPosition::parse(places.to.value_or(places.from)));
    TRY_ASSIGN(Time const goes_on, parse_time(times.to.value_or(times.from)));
    pin.goes_on = Pin::GoesOn{next, goes_on};
    return pin;
}

std::string pin_place(Pin const& pin)
{
    return pin.next_position() == pin.position
               ? pin.position.text()
               : fmt::format("{} to {}", pin.position.text(), pin.next_position().text());
}

std::string pin_time(Pin const& pin)
{
    return pin.next_time() == pin.time
               ? print_time_exact(pin.time)
               : fmt::format("{} to {}", print_time_exact(pin.time), print_time_exact(pin.next_time()));
}

JsonValue pin_value(Pin const& pin)
{
    return JsonValue::array({JsonValue::string(pin_place(pin)), JsonValue::string(pin_time(pin))});
}

} // namespace tabard::pipeline
