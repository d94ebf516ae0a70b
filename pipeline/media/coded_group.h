#pragma once
#include "pipeline/media/digest.h"
#include "pipeline/media/shared_bytes.h"
#include "pipeline/time/time.h"

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// One coded picture. Times in ticks of its track's clock, film time 0 is tick 0.
struct CodedPicture {
    std::int64_t shown = 0;    ///< presentation time
    std::int64_t decoded = 0;  ///< decoding time, not after `shown`
    std::int64_t duration = 0; ///< on screen
    SharedBytes data;
    friend bool operator==(CodedPicture const&, CodedPicture const&) = default;
};

/// A group of pictures: begins with one that needs no other, and nothing outside needs it. In decoding order.
struct CodedGroup {
    std::vector<CodedPicture> pictures;
    friend bool operator==(CodedGroup const&, CodedGroup const&) = default;

    std::size_t bytes() const;
    /// For keeping it in a file. Times are stored relative to the first picture's `decoded`.
    std::vector<std::byte> serialise() const;
    /// The inverse; `first_decoded` is where the group stands in its film. None where `bytes` is no such group. Its
    /// pictures are parts of `bytes`.
    static std::optional<CodedGroup> parse(SharedBytes const& bytes, std::int64_t first_decoded);
};

/// A digest of what a group's pictures are coded to, without their times, picture by picture.
class GroupDigest {
public:
    void add(CodedPicture const& picture) { m_digest.add(std::span(picture.data.begin(), picture.data.end())); }
    /// Nothing may be added after it.
    std::string hex() { return m_digest.hex(); }

private:
    Digest m_digest;
};

/// Of a whole group.
std::string digest_of(CodedGroup const& group);

} // namespace tabard::pipeline
