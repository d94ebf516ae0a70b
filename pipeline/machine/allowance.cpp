#include "pipeline/machine/allowance.h"

#include "pipeline/machine/memory.h"
#include "pipeline/machine/processors.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <limits>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr int kShareOfMemory = 4;

std::optional<double> unit_of(std::string_view word)
{
    if (word.empty() || word == "B")
        return 1.0;
    auto const place = std::string_view("KMGT").find(word[0]);
    bool const known =
        place != std::string_view::npos && (word.size() == 1 || word.substr(1) == "B" || word.substr(1) == "iB");
    return known ? std::optional(std::pow(1024.0, static_cast<double>(place) + 1)) : std::nullopt;
}

} // namespace

int workers_for(Allowance const& allowance, std::int64_t bytes_each)
{
    int const wanted = allowance.jobs ? *allowance.jobs : usable_processors();
    auto memory = allowance.memory;
    if (!memory)
        if (auto const available = available_memory())
            memory = *available / kShareOfMemory;
    std::int64_t const held = memory ? *memory / std::max<std::int64_t>(1, bytes_each) : wanted;
    return static_cast<int>(
        std::clamp<std::int64_t>(std::min<std::int64_t>(wanted, held), 1, std::numeric_limits<int>::max()));
}

Result<std::int64_t> parse_memory(std::string_view text)
{
    double number = 0;
    auto const [end, failure] = std::from_chars(text.data(), text.data() + text.size(), number);
    auto const unit = unit_of(text.substr(static_cast<std::size_t>(end - text.data())));
    double const bytes = number * unit.value_or(0);
    if (failure != std::errc() || !unit || !(bytes >= 1) || bytes > 1e18)
        return Error{
            ErrorKind::invalid_input,
            fmt::format("'{}' is no size of memory: write a number and K, M, G or T, such as 800M or 2G", text)};
    return static_cast<std::int64_t>(bytes);
}

} // namespace tabard::pipeline
