#pragma once

namespace tabard::detail {
[[noreturn]] void precondition_failed(char const* condition, char const* file, int line) noexcept;
}

/// A caller broke the contract of a function: say where and abort, in release builds too.
/// Never for what a user or the world did: that is an Error.
#define PRECONDITION(condition)                                                                                        \
    ((condition) ? static_cast<void>(0) : ::tabard::detail::precondition_failed(#condition, __FILE__, __LINE__))
