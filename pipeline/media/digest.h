#pragma once
#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <string_view>

namespace tabard::pipeline {

/// A 128-bit fingerprint of everything it is given, in order (libavutil's MurmurHash3 underneath: fast, not made
/// against an adversary). Lengths count: "ab","c" and "a","bc" differ. Move-only.
class Digest {
public:
    Digest();
    Digest(Digest&&) noexcept;
    Digest& operator=(Digest&&) noexcept;
    ~Digest();

    Digest& add(std::span<std::byte const> bytes);
    Digest& add(std::string_view text);
    Digest& add(std::int64_t number);

    /// 32 hexadecimal digits. Nothing may be added after it.
    std::string hex();

private:
    void take(void const* bytes, std::size_t size);
    struct Impl;
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
