#include "overlay/music/meter.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <optional>
#include <system_error>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

constexpr std::array kUnits{2, 4, 8, 16};

std::string_view trimmed(std::string_view text)
{
    auto const first = text.find_first_not_of(" \t");
    if (first == std::string_view::npos)
        return {};
    return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

/// A whole number; one that is too large for any meter comes out as kMostBeats + 1.
std::optional<int> number(std::string_view digits)
{
    if (digits.empty() || digits.find_first_not_of("0123456789") != std::string_view::npos)
        return std::nullopt;
    int value = 0;
    bool const fits = std::from_chars(digits.data(), digits.data() + digits.size(), value).ec == std::errc{};
    return fits ? std::min(value, kMostBeats + 1) : kMostBeats + 1;
}

Error no_meter(std::string_view text, std::string const& why)
{
    return {ErrorKind::invalid_input, fmt::format("'{}' is no meter: {}", text, why)};
}

} // namespace

Result<Meter> Meter::parse(std::string_view text)
{
    auto const slash = text.find('/');
    if (slash == std::string_view::npos)
        return no_meter(text, "there is no / between beats and unit");
    std::string_view const below = trimmed(text.substr(slash + 1));
    if (below.find_first_of("+/") != std::string_view::npos)
        return no_meter(text, "the whole sum stands before one /");
    auto const unit = number(below);
    if (!unit || std::ranges::find(kUnits, *unit) == kUnits.end())
        return no_meter(text, fmt::format("the unit '{}' is none of 2, 4, 8 and 16", below));
    Meter meter{0, *unit};
    std::string_view rest = text.substr(0, slash);
    for (int group = 1;; ++group) {
        auto const plus = rest.find('+');
        std::string_view const word = trimmed(rest.substr(0, plus));
        bool const alone = group == 1 && plus == std::string_view::npos;
        std::string const name = alone ? "the number of beats" : fmt::format("group {}", group);
        auto const size = number(word);
        if (!size)
            return no_meter(text, fmt::format("{}, '{}', is no whole number", name, word));
        if (*size == 0)
            return no_meter(text, fmt::format("{} is 0", name));
        meter.written |= GroupStarts{1} << meter.beats;
        meter.beats += *size;
        if (meter.beats > kMostBeats)
            return no_meter(text, fmt::format("a bar has at most {} beats in all", kMostBeats));
        if (plus == std::string_view::npos)
            break;
        rest.remove_prefix(plus + 1);
    }
    if (meter.written == 1)
        meter.written = 0; // one number says nothing about groups
    return meter;
}

std::string Meter::text() const
{
    std::string sum;
    int size = 0;
    for (int beat = 1; beat <= beats && written != 0; ++beat) {
        ++size;
        if (beat < beats && !begins_group(beat))
            continue;
        sum += fmt::format("{}{}", sum.empty() ? "" : "+", size);
        size = 0;
    }
    return fmt::format("{}/{}", written != 0 ? sum : fmt::format("{}", beats), unit);
}

} // namespace tabard::overlay
