#include "pipeline/cues/minutes_as_decimals.h"

#include "pipeline/time/timecode.h"

#include <algorithm>
#include <chrono>
#include <optional>
#include <string_view>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// No part of a lesson is shorter.
constexpr Time kShortest = std::chrono::duration_cast<Time>(std::chrono::seconds(3));

bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// "1.35", "12.05": what would be minutes and seconds with a colon.
bool could_be_minutes(std::string_view text)
{
    std::size_t const point = text.find('.');
    return (point == 1 || point == 2) && text.size() == point + 3 && is_digit(text[0]) && is_digit(text[point - 1]) &&
           text[point + 1] >= '0' && text[point + 1] <= '5' && is_digit(text[point + 2]);
}

/// A time as written under `key`; none where it is missing or no scalar.
JsonValue const* written(JsonValue const& object, std::string_view key)
{
    JsonValue const* value = object.find(key);
    bool const scalar = value && (value->kind == JsonValue::Kind::string || value->kind == JsonValue::Kind::number);
    return scalar ? value : nullptr;
}

std::optional<Time> seconds_of(JsonValue const* value)
{
    if (!value)
        return std::nullopt;
    auto const time = parse_time(value->text);
    return time ? std::optional{*time} : std::nullopt;
}

Time as_minutes(std::string_view text)
{
    std::string colon(text);
    colon[colon.find('.')] = ':';
    return parse_time(colon).value_or(Time{});
}

/// Somebody who writes 95.5 or 12.75 counts in seconds, and means them everywhere.
bool counts_seconds(JsonValue const& sections)
{
    auto const in_seconds = [](JsonValue const* value) {
        return value && value->text.find(':') == std::string::npos &&
               value->text.find_first_not_of("0.") != std::string::npos && !could_be_minutes(value->text);
    };
    return std::ranges::any_of(sections.items, [&](JsonValue const& section) {
        return in_seconds(written(section, "from")) || in_seconds(written(section, "to"));
    });
}

class Pass {
public:
    explicit Pass(Lesson const& lesson)
    {
        if (lesson.footage_facts && lesson.footage_facts->duration)
            m_film = **lesson.footage_facts->duration;
    }

    std::vector<Finding> over(JsonValue const& sections)
    {
        for (std::size_t i = 0; i < sections.items.size(); ++i) {
            JsonValue const* next = i + 1 < sections.items.size() ? &sections.items[i + 1] : nullptr;
            look_at(sections.items[i], next ? written(*next, "from") : nullptr);
        }
        return std::move(m_findings);
    }

private:
    void look_at(JsonValue const& section, JsonValue const* next)
    {
        JsonValue const* from = written(section, "from");
        JsonValue const* to = written(section, "to");
        auto const begin = seconds_of(from);
        if (!begin)
            return;
        auto const end = to ? seconds_of(to) : seconds_of(next);
        bool const brief = end && *end - *begin < kShortest;
        bool const close = m_before && *begin - *m_before < kShortest;
        bool const film_is_longer = !next && !to && m_film && *m_film > 10 * *begin;
        if (brief || close || film_is_longer)
            report(*from);
        if (to && brief)
            report(*to);
        m_before = begin;
    }

    void report(JsonValue const& time)
    {
        if (!could_be_minutes(time.text) || as_minutes(time.text) == Time{0} ||
            (m_film && as_minutes(time.text) >= *m_film))
            return;
        std::string colon = time.text;
        colon[colon.find('.')] = ':';
        double const seconds = std::chrono::duration<double>(as_minutes(time.text)).count();
        m_findings.push_back({Severity::warning, "minutes-or-seconds", time.at, std::nullopt,
                              fmt::format("{} is read as {} seconds, not as minutes and seconds", time.text, time.text),
                              fmt::format("write \"{}\" or {:.0f} for {}", colon, seconds, in_words(time.text))});
    }

    static std::string in_words(std::string_view text)
    {
        std::size_t const point = text.find('.');
        auto const without_zero = [](std::string_view digits) {
            return digits.size() > 1 && digits[0] == '0' ? digits.substr(1) : digits;
        };
        return fmt::format("{} min {} s", without_zero(text.substr(0, point)), without_zero(text.substr(point + 1)));
    }

    std::optional<Time> m_film;
    std::optional<Time> m_before; ///< where the part before begins
    std::vector<Finding> m_findings;
};

} // namespace

std::vector<Finding> minutes_as_decimals(JsonValue const& root, Lesson const& lesson)
{
    JsonValue const* sections = root.find("sections");
    if (!sections || sections->kind != JsonValue::Kind::array || counts_seconds(*sections))
        return {};
    return Pass(lesson).over(*sections);
}

} // namespace tabard::pipeline
