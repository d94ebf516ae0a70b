#include "pipeline/time/timecode.h"

#include "overlay/base/precondition.h"

#include <array>
#include <vector>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::int64_t kMostHours = 999;

bool all_digits(std::string_view text)
{
    return !text.empty() && text.find_first_not_of("0123456789") == std::string_view::npos;
}

/// The value of a text of digits; longer than nine digits counts as out of every range.
std::int64_t digits_value(std::string_view digits)
{
    if (digits.size() > 9)
        return 1'000'000'000;
    std::int64_t value = 0;
    for (char const digit : digits)
        value = value * 10 + (digit - '0');
    return value;
}

std::vector<std::string_view> split(std::string_view text, std::string_view separators)
{
    std::vector<std::string_view> parts;
    while (true) {
        std::size_t const end = text.find_first_of(separators);
        parts.push_back(text.substr(0, end));
        if (end == std::string_view::npos)
            return parts;
        text.remove_prefix(end + 1);
    }
}

/// Labels that a drop-frame minute leaves out: 2 at 29.97, 4 at 59.94 (SMPTE ST 12-1).
std::int64_t dropped_labels(FrameRate rate) { return rate.num == 60000 ? 4 : 2; }

struct Label {
    std::int64_t hours = 0;
    std::int64_t minutes = 0;
    std::int64_t seconds = 0;
    std::int64_t frames = 0;
};

bool is_dropped(Label const& label, TimecodeFormat format)
{
    return format.drop_frame && label.minutes % 10 != 0 && label.seconds == 0 &&
           label.frames < dropped_labels(format.rate);
}

std::string print_label(Label const& label, TimecodeFormat format)
{
    return fmt::format("{:02}:{:02}:{:02}{}{:02}", label.hours, label.minutes, label.seconds,
                       format.drop_frame ? ';' : ':', label.frames);
}

/// Frames past the last of a second, seconds past 59 and dropped labels carry on to the next label that exists.
Label next_existing(Label label, TimecodeFormat format)
{
    if (label.frames >= format.labels_per_second()) {
        label.frames = 0;
        ++label.seconds;
    }
    if (label.seconds > 59) {
        label.frames = label.seconds = 0;
        ++label.minutes;
    }
    if (label.minutes > 59) {
        label.frames = label.seconds = label.minutes = 0;
        ++label.hours;
    }
    if (is_dropped(label, format))
        label.frames = dropped_labels(format.rate);
    return label;
}

Error not_a_time(std::string_view text)
{
    return {ErrorKind::invalid_input, fmt::format("'{}' is no time; write 1:02:03.5, 2:03.5 or seconds", text)};
}

Error not_a_label(std::string_view text)
{
    return {ErrorKind::invalid_input, fmt::format("'{}' is no timecode; write hours:minutes:seconds:frames", text)};
}

/// Whole seconds of "63", "2:03" or "1:02:03".
Result<std::int64_t> whole_seconds(std::string_view text, std::string_view whole)
{
    auto const fields = split(whole, ":");
    if (fields.size() > 3)
        return not_a_time(text);
    for (auto const& field : fields)
        if (!all_digits(field))
            return not_a_time(text);
    std::int64_t total = digits_value(fields[0]);
    for (std::size_t i = 1; i < fields.size(); ++i) {
        std::int64_t const value = digits_value(fields[i]);
        if (fields[i].size() != 2)
            return Error{ErrorKind::invalid_input,
                         fmt::format("'{}': minutes and seconds after a colon have two digits, as in '0:05'", text)};
        if (value > 59)
            return Error{ErrorKind::invalid_input,
                         fmt::format("'{}': after a colon, minutes and seconds go from 00 to 59", text)};
        total = total * 60 + value;
    }
    if (total > kMostHours * 3600)
        return Error{ErrorKind::invalid_input, fmt::format("'{}' lies beyond {} hours", text, kMostHours)};
    return total;
}

/// The flicks of the digits after a decimal point, to the nearest.
std::int64_t fraction_flicks(std::string_view digits)
{
    __extension__ using Wide = __int128;
    Wide numerator = 0;
    Wide denominator = 1;
    for (char const digit : digits.substr(0, 18)) {
        numerator = numerator * 10 + (digit - '0');
        denominator *= 10;
    }
    return static_cast<std::int64_t>((numerator * kFlicksPerSecond * 2 + denominator) / (denominator * 2));
}

} // namespace

bool has_drop_frame(FrameRate rate) { return rate.den == 1001 && (rate.num == 30000 || rate.num == 60000); }

std::string timecode_label(std::int64_t frame, TimecodeFormat format)
{
    PRECONDITION(frame >= 0);
    PRECONDITION(!format.drop_frame || has_drop_frame(format.rate));
    std::int64_t const labels = format.labels_per_second();
    if (format.drop_frame) {
        std::int64_t const drop = dropped_labels(format.rate);
        std::int64_t const minute = 60 * labels - drop;
        std::int64_t const ten_minutes = 10 * minute + drop;
        std::int64_t const tens = frame / ten_minutes;
        std::int64_t const rest = frame % ten_minutes;
        frame += 9 * drop * tens + (rest >= drop ? drop * ((rest - drop) / minute) : 0);
    }
    std::int64_t const seconds = frame / labels;
    return print_label({seconds / 3600, seconds / 60 % 60, seconds % 60, frame % labels}, format);
}

Result<std::int64_t> timecode_frame(std::string_view text, FrameRate rate)
{
    auto const fields = split(text, ":;");
    if (fields.size() != 4)
        return not_a_label(text);
    for (auto const& field : fields)
        if (!all_digits(field) || field.size() > 3)
            return not_a_label(text);
    if (fields[1].size() != 2 || fields[2].size() != 2 || fields[3].size() < 2)
        return not_a_label(text);
    if (text.substr(0, text.size() - fields[3].size() - 1).find(';') != std::string_view::npos)
        return Error{ErrorKind::invalid_input,
                     fmt::format("'{}': a semicolon stands before the frames alone, to say drop-frame", text)};
    if (rate.num < rate.den)
        return Error{ErrorKind::invalid_input,
                     fmt::format("'{}' counts frames, and the film has less than one a second", text)};
    TimecodeFormat const format{rate, text[text.size() - fields[3].size() - 1] == ';'};
    if (format.drop_frame && !has_drop_frame(rate))
        return Error{ErrorKind::invalid_input,
                     fmt::format("'{}': there is no drop-frame timecode at {} frames per second; "
                                 "write a colon before the frames",
                                 text, print_frame_rate(rate))};
    Label const label{digits_value(fields[0]), digits_value(fields[1]), digits_value(fields[2]),
                      digits_value(fields[3])};
    std::string const next = print_label(next_existing(label, format), format);
    if (label.minutes > 59 || label.seconds > 59 || label.frames >= format.labels_per_second() ||
        is_dropped(label, format))
        return Error{ErrorKind::invalid_input,
                     fmt::format("no frame has the timecode '{}' at {} frames per second{}; the next one is {}", text,
                                 print_frame_rate(rate), format.drop_frame ? " drop-frame" : "", next)};
    std::int64_t const minutes = label.hours * 60 + label.minutes;
    std::int64_t const dropped = format.drop_frame ? dropped_labels(rate) * (minutes - minutes / 10) : 0;
    return (minutes * 60 + label.seconds) * format.labels_per_second() + label.frames - dropped;
}

bool has_frames(std::string_view text) { return split(text, ":;").size() == 4; }

Result<Time> parse_time(std::string_view text, std::optional<FrameRate> rate)
{
    bool const negative = text.starts_with('-');
    std::string_view const magnitude = text.substr(negative ? 1 : 0);
    if (has_frames(magnitude)) {
        if (!rate)
            return Error{ErrorKind::invalid_input,
                         fmt::format("'{}' counts frames, and the frame rate is not known here", text)};
        TRY_ASSIGN(std::int64_t const frame, timecode_frame(magnitude, *rate));
        return from_frame(negative ? -frame : frame, *rate);
    }
    if (magnitude.find(',') != std::string_view::npos)
        return Error{ErrorKind::invalid_input, fmt::format("'{}': write parts of a second after a full stop", text)};
    std::size_t const point = magnitude.find('.');
    std::string_view const decimals = point == std::string_view::npos ? "" : magnitude.substr(point + 1);
    if (point != std::string_view::npos && !all_digits(decimals))
        return not_a_time(text);
    TRY_ASSIGN(std::int64_t const seconds, whole_seconds(text, magnitude.substr(0, point)));
    Time const time{seconds * kFlicksPerSecond + fraction_flicks(decimals)};
    return negative ? -time : time;
}

std::string print_time(Time time, int decimals)
{
    PRECONDITION(decimals >= 0 && decimals <= 9);
    std::int64_t scale = 1;
    for (int i = 0; i < decimals; ++i)
        scale *= 10;
    std::int64_t const units = to_ticks(std::chrono::abs(time), 1, scale);
    std::int64_t const seconds = units / scale;
    std::string const sign = time < Time{0} && units != 0 ? "-" : "";
    std::string const fraction = decimals == 0 ? "" : fmt::format(".{:0{}}", units % scale, decimals);
    if (seconds >= 3600)
        return fmt::format("{}{}:{:02}:{:02}{}", sign, seconds / 3600, seconds / 60 % 60, seconds % 60, fraction);
    return fmt::format("{}{}:{:02}{}", sign, seconds / 60, seconds % 60, fraction);
}

std::string print_time_exact(Time time)
{
    // A flick is longer than a nanosecond, so nine decimals always tell one from the next.
    for (int decimals = 0;; ++decimals) {
        std::string text = print_time(time, decimals);
        if (decimals == 9 || parse_time(text) == Result<Time>{time})
            return text;
    }
}

Result<FrameRate> parse_frame_rate(std::string_view text)
{
    struct Named {
        std::string_view text;
        FrameRate rate;
    };
    static constexpr std::array<Named, 7> kNamed{{{"23.976", {24000, 1001}},
                                                  {"23.98", {24000, 1001}},
                                                  {"29.97", {30000, 1001}},
                                                  {"47.952", {48000, 1001}},
                                                  {"59.94", {60000, 1001}},
                                                  {"119.88", {120000, 1001}},
                                                  {"14.985", {15000, 1001}}}};
    for (Named const& named : kNamed)
        if (named.text == text)
            return named.rate;
    auto const refuse =
        Error{ErrorKind::invalid_input, fmt::format("'{}' is no frame rate; write 25, 29.97 or 30000/1001", text)};
    auto const parts = split(text, "/");
    auto const decimal = split(text, ".");
    if (parts.size() == 2 && all_digits(parts[0]) && all_digits(parts[1])) {
        std::int64_t const num = digits_value(parts[0]);
        std::int64_t const den = digits_value(parts[1]);
        if (num < 1 || den < 1 || num > 1'000'000 || den > 1'000'000 || num > 1000 * den)
            return refuse;
        std::int64_t const common = std::gcd(num, den);
        return FrameRate{static_cast<std::int32_t>(num / common), static_cast<std::int32_t>(den / common)};
    }
    if (decimal.size() > 2 || !all_digits(decimal[0]) ||
        (decimal.size() == 2 && (!all_digits(decimal[1]) || decimal[1].size() > 3)))
        return refuse;
    std::int64_t num = digits_value(decimal[0]);
    std::int64_t den = 1;
    for (char const digit : decimal.size() == 2 ? decimal[1] : "") {
        num = num * 10 + (digit - '0');
        den *= 10;
    }
    if (num < 1 || num > 1000 * den)
        return refuse;
    std::int64_t const common = std::gcd(num, den);
    return FrameRate{static_cast<std::int32_t>(num / common), static_cast<std::int32_t>(den / common)};
}

std::string print_frame_rate(FrameRate rate)
{
    return rate.den == 1 ? fmt::format("{}", rate.num) : fmt::format("{}/{}", rate.num, rate.den);
}

} // namespace tabard::pipeline
