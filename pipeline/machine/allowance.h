#pragma once
#include "overlay/base/result.h"

#include <cstdint>
#include <optional>
#include <string_view>

namespace tabard::pipeline {

/// How much of the machine one command may take. What it makes never depends on it.
struct Allowance {
    std::optional<int> jobs;            ///< things done at once; none: one for each usable processor
    std::optional<std::int64_t> memory; ///< bytes for all of them; none: a quarter of what is available
};

/// How many things may be done at once that take `bytes_each`; at least one.
int workers_for(Allowance const& allowance, std::int64_t bytes_each);

/// "800M", "2G", "1.5G", "3000000": bytes, with K, M, G or T for powers of 1024, as other programs count memory.
/// Errors: invalid_input.
Result<std::int64_t> parse_memory(std::string_view text);

} // namespace tabard::pipeline
