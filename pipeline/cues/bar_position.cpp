#include "pipeline/cues/bar_position.h"

#include <charconv>
#include <numeric>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// Reads a positive number of at most six digits off the front.
bool take_number(std::string_view& text, int& number)
{
    auto const [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
    std::size_t const length = static_cast<std::size_t>(end - text.data());
    if (error != std::errc{} || length > 6 || text[0] < '0' || text[0] > '9' || number < 1)
        return false;
    text.remove_prefix(length);
    return true;
}

bool take(std::string_view& text, char sign)
{
    if (!text.starts_with(sign))
        return false;
    text.remove_prefix(1);
    return true;
}

} // namespace

Result<BarPosition> BarPosition::parse(std::string_view text)
{
    Error const refuse{ErrorKind::invalid_input,
                       fmt::format("'{}' is no place in the bars; write bar.beat, as in 5.1, or 5.2+1/3", text)};
    BarPosition position;
    if (!take_number(text, position.bar) || (take(text, '.') && !take_number(text, position.beat)))
        return refuse;
    if (take(text, '+')) {
        int part = 0;
        int whole = 0;
        if (!take_number(text, part) || !take(text, '/') || !take_number(text, whole) || part >= whole ||
            part * kTicksPerBeat % whole != 0)
            return refuse;
        position.ticks = part * kTicksPerBeat / whole;
    }
    if (!text.empty())
        return refuse;
    return position;
}

std::string BarPosition::text() const
{
    if (ticks == 0)
        return fmt::format("{}.{}", bar, beat);
    std::int64_t const common = std::gcd(ticks, kTicksPerBeat);
    return fmt::format("{}.{}+{}/{}", bar, beat, ticks / common, kTicksPerBeat / common);
}

} // namespace tabard::pipeline
