#include "pipeline/desk/music/written_time.h"

#include "pipeline/time/timecode.h"

#include <string>

namespace tabard::pipeline {
namespace {

/// Hours, minutes and seconds put together as seconds: "1:03.5" is "63.5".
std::string plain_seconds(std::string const& text)
{
    bool const minus = text.starts_with('-');
    std::size_t const point = text.find('.');
    std::int64_t seconds = 0, part = 0;
    for (char const c : text.substr(0, point))
        if (c == ':') {
            seconds = (seconds + part) * 60;
            part = 0;
        } else if (c != '-') {
            part = part * 10 + (c - '0');
        }
    return (minus ? "-" : "") + std::to_string(seconds + part) + (point == std::string::npos ? "" : text.substr(point));
}

std::optional<std::string> label(Time time, TimeForm const& form)
{
    if (!form.frames || !form.rate || time < Time{0})
        return std::nullopt;
    FrameRate const rate = *form.rate;
    std::int64_t const frame = frame_at(time + from_frame(1, rate) / 2, rate);
    std::string const text = timecode_label(frame, {rate, form.semicolon});
    auto const read = parse_time(text, rate);
    bool const same = read && std::chrono::abs(*read - time) <= from_ticks(1, 1, 2000);
    return same ? std::optional(text.starts_with("00:") ? text.substr(1) : text) : std::nullopt;
}

} // namespace

TimeForm form_of(JsonValue const& written, std::optional<FrameRate> rate)
{
    TimeForm form;
    form.number = written.kind == JsonValue::Kind::number;
    form.minutes = written.text.find(':') != std::string::npos;
    form.frames = has_frames(written.text);
    form.semicolon = written.text.find(';') != std::string::npos;
    form.rate = rate;
    return form;
}

JsonValue written_time(Time time, TimeForm const& form)
{
    if (auto text = label(time, form))
        return JsonValue::string(*std::move(text));
    std::string text = print_time_exact(time);
    if (!form.minutes && !form.frames)
        text = plain_seconds(text);
    JsonValue value = JsonValue::string(text);
    if (form.number)
        value.kind = JsonValue::Kind::number;
    return value;
}

Time whole_milliseconds(Time time)
{
    constexpr Time kMillisecond = from_ticks(1, 1, 1000);
    Time const rest = time % kMillisecond;
    return time - (rest < Time{0} ? rest + kMillisecond : rest);
}

} // namespace tabard::pipeline
