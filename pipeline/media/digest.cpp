#include "pipeline/media/digest.h"

#include <array>
#include <bit>
#include <new>

#include <fmt/format.h>
#include <fmt/ranges.h>

extern "C" {
#include <libavutil/mem.h>
#include <libavutil/murmur3.h>
}

namespace tabard::pipeline {

struct Digest::Impl {
    Impl() : state(av_murmur3_alloc())
    {
        if (!state)
            throw std::bad_alloc();
        av_murmur3_init(state);
    }
    Impl(Impl const&) = delete;
    Impl& operator=(Impl const&) = delete;
    ~Impl() { av_free(state); }
    AVMurMur3* state;
};

Digest::Digest() : m_impl(std::make_unique<Impl>()) {}
Digest::Digest(Digest&&) noexcept = default;
Digest& Digest::operator=(Digest&&) noexcept = default;
Digest::~Digest() = default;

void Digest::take(void const* bytes, std::size_t size)
{
    if (size > 0)
        av_murmur3_update(m_impl->state, static_cast<std::uint8_t const*>(bytes), size);
}

Digest& Digest::add(std::span<std::byte const> bytes)
{
    add(static_cast<std::int64_t>(bytes.size()));
    take(bytes.data(), bytes.size());
    return *this;
}

Digest& Digest::add(std::string_view text) { return add(std::as_bytes(std::span(text))); }

Digest& Digest::add(std::int64_t number)
{
    std::array<std::uint8_t, 8> little_endian{};
    for (std::size_t i = 0; i < 8; ++i)
        little_endian[i] = static_cast<std::uint8_t>(static_cast<std::uint64_t>(number) >> (8 * i));
    take(little_endian.data(), little_endian.size());
    return *this;
}

std::string Digest::hex()
{
    std::array<std::uint8_t, 16> result{};
    av_murmur3_final(m_impl->state, result.data());
    return fmt::format("{:02x}", fmt::join(result, ""));
}

} // namespace tabard::pipeline
