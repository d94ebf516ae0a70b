#pragma once
#include <cstdint>
#include <optional>
#include <string_view>

namespace tabard::pipeline {

/// A stretch of a file.
struct ByteRange {
    std::uint64_t from = 0;
    std::uint64_t count = 0;
    friend bool operator==(ByteRange const&, ByteRange const&) = default;
};

enum class Ranged { whole, part, beyond };

struct RangeReading {
    Ranged ranged = Ranged::whole;
    ByteRange range; ///< of a part; of the whole: all
};

/// What a Range header asks of a file of `size` bytes (RFC 9110, section 14). Beyond: nothing of it is there (416).
/// What is no single range of bytes is passed over, as a server may: the whole.
RangeReading read_range(std::string_view header, std::uint64_t size);

} // namespace tabard::pipeline
