#pragma once
#include <algorithm>
#include <cstddef>
#include <memory>
#include <span>
#include <utility>
#include <vector>

namespace tabard::pipeline {

/// Bytes that do not change, and a share of the memory they lie in: copies are cheap, and parts of them outlive the
/// whole. Equal where the bytes are.
class SharedBytes {
public:
    SharedBytes() = default;
    SharedBytes(std::vector<std::byte> bytes)
    {
        auto const owner = std::make_shared<std::vector<std::byte> const>(std::move(bytes));
        m_bytes = *owner;
        m_owner = owner;
    }
    /// `bytes` are valid for as long as `owner` lives.
    SharedBytes(std::shared_ptr<void const> owner, std::span<std::byte const> bytes)
        : m_owner(std::move(owner)), m_bytes(bytes)
    {
    }

    std::byte const* data() const { return m_bytes.data(); }
    std::size_t size() const { return m_bytes.size(); }
    bool empty() const { return m_bytes.empty(); }
    auto begin() const { return m_bytes.begin(); }
    auto end() const { return m_bytes.end(); }
    std::byte operator[](std::size_t at) const { return m_bytes[at]; }
    /// Precondition as std::span::subspan().
    SharedBytes part(std::size_t from, std::size_t size) const { return {m_owner, m_bytes.subspan(from, size)}; }

    friend bool operator==(SharedBytes const& a, SharedBytes const& b)
    {
        return std::ranges::equal(a.m_bytes, b.m_bytes);
    }

private:
    std::shared_ptr<void const> m_owner;
    std::span<std::byte const> m_bytes;
};

} // namespace tabard::pipeline
