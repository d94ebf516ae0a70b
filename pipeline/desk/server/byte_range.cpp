#include "pipeline/desk/server/byte_range.h"

#include <algorithm>
#include <charconv>

namespace tabard::pipeline {
namespace {

/// None where the text is no number; of one that is too large the largest.
std::optional<std::uint64_t> number(std::string_view text)
{
    std::uint64_t value = 0;
    auto const [end, failed] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (end != text.data() + text.size() || failed == std::errc::invalid_argument)
        return std::nullopt;
    return failed == std::errc{} ? value : UINT64_MAX;
}

} // namespace

RangeReading read_range(std::string_view header, std::uint64_t size)
{
    RangeReading const whole{Ranged::whole, {0, size}};
    constexpr std::string_view kUnit = "bytes=";
    if (!header.starts_with(kUnit))
        return whole;
    header.remove_prefix(kUnit.size());
    std::size_t const dash = header.find('-');
    if (dash == header.npos)
        return whole;
    auto const first = number(header.substr(0, dash));
    auto const last = number(header.substr(dash + 1));
    if (dash == 0) { // the last so many
        if (!last)
            return whole;
        std::uint64_t const count = std::min(*last, size);
        return count == 0 ? RangeReading{Ranged::beyond, {}} : RangeReading{Ranged::part, {size - count, count}};
    }
    bool const open = dash + 1 == header.size();
    if (!first || (!last && !open) || (last && *last < *first))
        return whole;
    if (*first >= size)
        return {Ranged::beyond, {}};
    std::uint64_t const end = open ? size : std::min(*last, size - 1) + 1;
    return {Ranged::part, {*first, end - *first}};
}

} // namespace tabard::pipeline
