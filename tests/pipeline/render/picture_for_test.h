#pragma once
#include "overlay/drawing/bitmap.h"
#include "pipeline/media/picture.h"

#include <array>
#include <cstring>
#include <vector>

namespace tabard::pipeline {

/// A picture that owns its samples, for tests.
class OwnedPicture {
public:
    OwnedPicture(int width, int height, PixelLayout layout) : m_layout(layout)
    {
        for (std::size_t i = 0; i < 3; ++i) {
            int const shift_x = i == 0 ? 0 : layout.chroma_shift_x;
            int const shift_y = i == 0 ? 0 : layout.chroma_shift_y;
            m_width[i] = (width + (1 << shift_x) - 1) >> shift_x;
            m_height[i] = (height + (1 << shift_y) - 1) >> shift_y;
            m_samples[i].resize(static_cast<std::size_t>(m_width[i] * m_height[i] * bytes_per_sample()));
        }
    }
    int width(std::size_t plane) const { return m_width[plane]; }
    int height(std::size_t plane) const { return m_height[plane]; }
    int get(std::size_t plane, int x, int y) const
    {
        std::uint16_t value = 0; // little-endian machines only
        std::memcpy(&value, &m_samples[plane][offset(plane, x, y)], static_cast<std::size_t>(bytes_per_sample()));
        return value;
    }
    void set(std::size_t plane, int x, int y, int value)
    {
        std::memcpy(&m_samples[plane][offset(plane, x, y)], &value, static_cast<std::size_t>(bytes_per_sample()));
    }
    void fill(int y, int cb, int cr)
    {
        int const values[] = {y, cb, cr};
        for (std::size_t plane = 0; plane < 3; ++plane)
            for (int row = 0; row < m_height[plane]; ++row)
                for (int column = 0; column < m_width[plane]; ++column)
                    set(plane, column, row, values[plane]);
    }
    PictureView view()
    {
        PictureView view{{}, m_layout};
        for (std::size_t i = 0; i < 3; ++i)
            view.planes[i] = {m_samples[i].data(), m_width[i] * bytes_per_sample(), m_width[i], m_height[i]};
        return view;
    }
    std::vector<std::byte> const& bytes(std::size_t plane) const { return m_samples[plane]; }
    std::vector<std::byte>& bytes(std::size_t plane) { return m_samples[plane]; }

private:
    int bytes_per_sample() const { return m_layout.bit_depth == 8 ? 1 : 2; }
    std::size_t offset(std::size_t plane, int x, int y) const
    {
        return static_cast<std::size_t>((y * m_width[plane] + x) * bytes_per_sample());
    }

    PixelLayout m_layout;
    std::array<int, 3> m_width{};
    std::array<int, 3> m_height{};
    std::array<std::vector<std::byte>, 3> m_samples;
};

/// A premultiplied pixel from straight values.
inline std::uint32_t premultiplied(int red, int green, int blue, int alpha)
{
    auto const part = [&](int value) { return static_cast<std::uint32_t>((value * alpha + 127) / 255); };
    return static_cast<std::uint32_t>(alpha) << 24 | part(red) << 16 | part(green) << 8 | part(blue);
}

inline overlay::Bitmap flat_bitmap(overlay::RectPx at, std::uint32_t pixel)
{
    return {at, std::vector<std::uint32_t>(static_cast<std::size_t>(at.width * at.height), pixel)};
}

} // namespace tabard::pipeline
