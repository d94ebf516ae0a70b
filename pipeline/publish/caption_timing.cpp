#include "pipeline/publish/caption_timing.h"

#include "overlay/base/utf8.h"
#include "pipeline/publish/caption_lines.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <limits>
#include <optional>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::int64_t kFlicksPerMillisecond = kFlicksPerSecond / 1000;

/// About the 114 years that a `Time` certainly holds with what is added to it later. The format itself has no limit, so
/// this is not that of films (kLatestTime).
constexpr std::int64_t kMostHours = 1'000'000;

struct Digits {
    std::int64_t value = 0; ///< the largest number where they are too many
    std::size_t count = 0;
};

/// Takes the digits off the front, if there are any.
Digits take_digits(std::string_view& text)
{
    Digits digits{0, std::min(text.find_first_not_of("0123456789"), text.size())};
    if (std::from_chars(text.data(), text.data() + digits.count, digits.value).ec == std::errc::result_out_of_range)
        digits.value = std::numeric_limits<std::int64_t>::max();
    text.remove_prefix(digits.count);
    return digits;
}

bool take(std::string_view& text, std::string_view signs)
{
    if (text.empty() || signs.find(text.front()) == std::string_view::npos)
        return false;
    text.remove_prefix(1);
    return true;
}

enum class Fault { form, comma, range, far };

/// [hours:]minutes:seconds.thousandths
tl::expected<Time, Fault> take_stamp(std::string_view& text, CaptionFormat format)
{
    bool const webvtt = format == CaptionFormat::webvtt;
    Digits const first = take_digits(text);
    if (first.count == 0 || !take(text, ":"))
        return tl::unexpected(Fault::form);
    Digits hours;
    Digits minutes = first;
    Digits seconds = take_digits(text);
    if (seconds.count != 2)
        return tl::unexpected(Fault::form);
    if (take(text, ":")) {
        hours = first;
        minutes = seconds;
        seconds = take_digits(text);
        if (seconds.count != 2)
            return tl::unexpected(Fault::form);
    } else if (webvtt && minutes.count != 2) {
        return tl::unexpected(Fault::form);
    }
    if (webvtt && text.starts_with(','))
        return tl::unexpected(Fault::comma);
    if (!take(text, webvtt ? "." : ".,"))
        return tl::unexpected(Fault::form);
    Digits const thousandths = take_digits(text);
    if (thousandths.count != 3)
        return tl::unexpected(Fault::form);
    if (minutes.value > 59 || seconds.value > 59)
        return tl::unexpected(Fault::range);
    if (hours.value > kMostHours)
        return tl::unexpected(Fault::far);
    return Time{(((hours.value * 60 + minutes.value) * 60 + seconds.value) * 1000 + thousandths.value) *
                kFlicksPerMillisecond};
}

Error wrong(std::string what) { return {ErrorKind::invalid_input, std::move(what)}; }

/// The next time of the line, said as it stands there where it is none.
Result<Time> take_time(std::string_view& rest, CaptionFormat format)
{
    std::string_view const line = rest;
    auto const time = take_stamp(rest, format);
    if (time)
        return *time;
    std::string const written = on_one_line(line.substr(0, std::min(line.find_first_of(" \t\f"), line.find("-->"))));
    if (written.empty())
        return wrong("a time is missing; write 00:01:02.500 --> 00:01:04.000");
    switch (time.error()) {
    case Fault::form:
        return wrong(fmt::format("'{}' is no time; write hours:minutes:seconds{}thousandths as in 00:01:02{}500",
                                 written, format == CaptionFormat::webvtt ? '.' : ',',
                                 format == CaptionFormat::webvtt ? '.' : ','));
    case Fault::comma:
        return wrong(fmt::format("'{}' has a comma; in WebVTT a full stop stands before the thousandths", written));
    case Fault::range:
        return wrong(fmt::format("'{}' is no time; minutes and seconds go from 00 to 59", written));
    case Fault::far:
        return wrong(fmt::format("'{}' lies beyond {} hours", written, kMostHours));
    }
    return wrong(written);
}

/// W3C WebVTT 6.4, "parse the WebVTT cue settings": words "name:value" of which the known count, divided by blanks.
std::string known_settings(std::string_view text)
{
    constexpr std::array<std::string_view, 6> kKnown{"region", "vertical", "line", "position", "size", "align"};
    std::string settings;
    while (!(text = trimmed_line(text)).empty()) {
        std::string_view const word = text.substr(0, text.find_first_of(" \t\f"));
        text.remove_prefix(word.size());
        auto const colon = word.find(':');
        if (colon != std::string_view::npos && colon + 1 < word.size() &&
            std::ranges::find(kKnown, word.substr(0, colon)) != kKnown.end())
            settings += (settings.empty() ? "" : " ") + std::string{word};
    }
    return settings;
}

} // namespace

Result<CaptionTiming> parse_caption_timing(std::string_view line, CaptionFormat format)
{
    std::string_view rest = trimmed_line(line);
    TRY_ASSIGN(Time const from, take_time(rest, format));
    rest = trimmed_line(rest);
    if (!rest.starts_with(kCaptionArrow))
        return wrong("there is more than a time before the arrow; write 00:01:02.500 --> 00:01:04.000");
    rest = trimmed_line(rest.substr(kCaptionArrow.size()));
    TRY_ASSIGN(Time const to, take_time(rest, format));
    if (to <= from)
        return wrong(fmt::format("it ends at {} and begins at {}; let it end later", print_time(to), print_time(from)));
    return CaptionTiming{from, to, format == CaptionFormat::webvtt ? known_settings(rest) : ""};
}

} // namespace tabard::pipeline
