#include "pipeline/desk/view/fast_png.h"

#include "overlay/base/precondition.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <string_view>

#include <zlib.h>

namespace tabard::pipeline {
namespace {

constexpr char kSubFilter = 1; // ISO/IEC 15948, 9.2: each byte less the one of the pixel before

std::string big_endian(std::uint32_t number)
{
    std::string bytes;
    for (int shift = 24; shift >= 0; shift -= 8)
        bytes += static_cast<char>(number >> shift);
    return bytes;
}

void add_chunk(std::string& png, std::string_view type, std::string_view data)
{
    png += big_endian(static_cast<std::uint32_t>(data.size()));
    std::size_t const begin = png.size();
    png.append(type).append(data);
    auto const* const bytes = reinterpret_cast<Bytef const*>(png.data() + begin);
    png += big_endian(static_cast<std::uint32_t>(crc32(0, bytes, static_cast<uInt>(png.size() - begin))));
}

/// Red, green, blue, alpha of a premultiplied pixel, straight.
std::array<std::uint8_t, 4> straight(std::uint32_t pixel)
{
    std::uint32_t const alpha = pixel >> 24;
    auto const part = [&](int shift) {
        std::uint32_t const premultiplied = (pixel >> shift) & 0xffu;
        return static_cast<std::uint8_t>(alpha == 0     ? 0
                                         : alpha == 255 ? premultiplied
                                                        : std::min(255u, (premultiplied * 255 + alpha / 2) / alpha));
    };
    return {part(16), part(8), part(0), static_cast<std::uint8_t>(alpha)};
}

template <std::size_t Parts>
std::string filtered_rows(overlay::Bitmap const& bitmap)
{
    auto const width = static_cast<std::size_t>(bitmap.at.width);
    auto const height = static_cast<std::size_t>(bitmap.at.height);
    std::string rows;
    rows.reserve(height * (1 + Parts * width));
    for (std::size_t y = 0; y < height; ++y) {
        rows += kSubFilter;
        std::array<std::uint8_t, 4> before{};
        for (std::size_t x = 0; x < width; ++x) {
            auto const now = straight(bitmap.pixels[y * width + x]);
            for (std::size_t part = 0; part < Parts; ++part)
                rows += static_cast<char>(now[part] - before[part]);
            before = now;
        }
    }
    return rows;
}

std::string deflated(std::string const& bytes)
{
    uLongf size = compressBound(static_cast<uLong>(bytes.size()));
    std::string small(size, '\0');
    int const code =
        compress2(reinterpret_cast<Bytef*>(small.data()), &size, reinterpret_cast<Bytef const*>(bytes.data()),
                  static_cast<uLong>(bytes.size()), Z_BEST_SPEED);
    if (code == Z_MEM_ERROR)
        throw std::bad_alloc();
    PRECONDITION(code == Z_OK);
    small.resize(size);
    return small;
}

} // namespace

std::string fast_png(overlay::Bitmap const& bitmap)
{
    PRECONDITION(!bitmap.at.empty());
    bool const opaque = std::ranges::all_of(bitmap.pixels, [](std::uint32_t pixel) { return pixel >> 24 == 255; });
    std::string header = big_endian(static_cast<std::uint32_t>(bitmap.at.width)) +
                         big_endian(static_cast<std::uint32_t>(bitmap.at.height));
    header += '\x08';                   // bits a part
    header += opaque ? '\x02' : '\x06'; // true colour, with alpha
    header.append(3, '\0');             // deflate, the five filters, no interlacing
    std::string png = "\x89PNG\r\n\x1a\n";
    add_chunk(png, "IHDR", header);
    add_chunk(png, "IDAT", deflated(opaque ? filtered_rows<3>(bitmap) : filtered_rows<4>(bitmap)));
    add_chunk(png, "IEND", "");
    return png;
}

} // namespace tabard::pipeline
