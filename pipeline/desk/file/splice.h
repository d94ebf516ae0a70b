#pragma once
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace tabard::pipeline {

/// How one text becomes another: at a place, some bytes stand for others.
struct Splice {
    std::size_t offset = 0;
    std::string old_bytes;
    std::string new_bytes;

    Splice inverse() const { return {offset, new_bytes, old_bytes}; }
    friend bool operator==(Splice const&, Splice const&) = default;
};

/// The shortest one that makes `after` of `before`.
Splice splice_between(std::string_view before, std::string_view after);

/// None where the text has other bytes there.
std::optional<std::string> spliced(std::string_view text, Splice const& splice);

} // namespace tabard::pipeline
