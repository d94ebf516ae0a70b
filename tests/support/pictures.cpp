#include "tests/support/pictures.h"

#include "tests/support/paths.h"

#include <algorithm>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <limits>
#include <memory>
#include <string>

#include <cairo.h>
#include <fmt/format.h>

namespace tabard::tests {
namespace {

using overlay::Bitmap;
using Surface = std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)>;

std::uint32_t* row(Surface const& surface, int y)
{
    auto* const bytes = cairo_image_surface_get_data(surface.get());
    return reinterpret_cast<std::uint32_t*>(bytes + std::ptrdiff_t{y} * cairo_image_surface_get_stride(surface.get()));
}

int channel(Bitmap const& bitmap, int x, int y, int shift)
{
    int const at_x = std::clamp(x, 0, bitmap.at.width - 1);
    int const at_y = std::clamp(y, 0, bitmap.at.height - 1);
    auto const index = static_cast<std::size_t>(at_y) * static_cast<std::size_t>(bitmap.at.width);
    return static_cast<int>((bitmap.pixels[index + static_cast<std::size_t>(at_x)] >> shift) & 0xFF);
}

double busyness(Bitmap const& golden, int x, int y, int shift)
{
    int const centre = channel(golden, x, y, shift);
    auto const step = [&](int dx, int dy) { return std::abs(channel(golden, x + dx, y + dy, shift) - centre); };
    int const side = std::max({step(-1, 0), step(1, 0), step(0, -1), step(0, 1)});
    int const diagonal = std::max({step(-1, -1), step(1, -1), step(-1, 1), step(1, 1)});
    return 1 + std::max(side / 4.0, diagonal / 8.0);
}

Bitmap amplified_difference(Bitmap const& actual, Bitmap const& golden)
{
    Bitmap result = golden;
    for (int y = 0; y < golden.at.height; ++y)
        for (int x = 0; x < golden.at.width; ++x) {
            std::uint32_t pixel = 0xFF000000;
            for (int shift = 0; shift < 24; shift += 8) {
                int const difference = std::abs(channel(actual, x, y, shift) - channel(golden, x, y, shift));
                pixel |= static_cast<std::uint32_t>(std::min(255, 8 * difference)) << shift;
            }
            result.pixels[static_cast<std::size_t>(y) * static_cast<std::size_t>(golden.at.width) +
                          static_cast<std::size_t>(x)] = pixel;
        }
    return result;
}

bool same_size(Bitmap const& a, Bitmap const& b) { return a.at.width == b.at.width && a.at.height == b.at.height; }

} // namespace

Bitmap read_png(std::filesystem::path const& path)
{
    Surface const read{cairo_image_surface_create_from_png(path.c_str()), cairo_surface_destroy};
    if (cairo_surface_status(read.get()) != CAIRO_STATUS_SUCCESS)
        return {};
    int const width = cairo_image_surface_get_width(read.get());
    int const height = cairo_image_surface_get_height(read.get());
    Surface const surface{cairo_image_surface_create(CAIRO_FORMAT_ARGB32, width, height), cairo_surface_destroy};
    cairo_t* const cr = cairo_create(surface.get());
    cairo_set_source_surface(cr, read.get(), 0, 0);
    cairo_paint(cr);
    cairo_destroy(cr);
    cairo_surface_flush(surface.get());
    Bitmap bitmap{{0, 0, width, height}, {}};
    for (int y = 0; y < height; ++y)
        bitmap.pixels.insert(bitmap.pixels.end(), row(surface, y), row(surface, y) + width);
    return bitmap;
}

void write_png(std::filesystem::path const& path, Bitmap const& bitmap)
{
    std::filesystem::create_directories(path.parent_path());
    Surface const surface{cairo_image_surface_create(CAIRO_FORMAT_ARGB32, bitmap.at.width, bitmap.at.height),
                          cairo_surface_destroy};
    for (int y = 0; y < bitmap.at.height; ++y)
        std::memcpy(row(surface, y), bitmap.pixels.data() + std::ptrdiff_t{y} * bitmap.at.width,
                    static_cast<std::size_t>(bitmap.at.width) * 4);
    cairo_surface_mark_dirty(surface.get());
    cairo_surface_write_to_png(surface.get(), path.c_str());
}

double visibility(Bitmap const& actual, Bitmap const& golden)
{
    if (!same_size(actual, golden))
        return std::numeric_limits<double>::infinity();
    double worst = 0;
    for (int y = 0; y < golden.at.height; ++y)
        for (int x = 0; x < golden.at.width; ++x)
            for (int shift = 0; shift < 32; shift += 8) {
                int const difference = std::abs(channel(actual, x, y, shift) - channel(golden, x, y, shift));
                if (difference > 0)
                    worst = std::max(worst, difference / busyness(golden, x, y, shift));
            }
    return worst;
}

std::string compare_with_golden(std::string const& name, Bitmap const& actual)
{
    std::filesystem::path const golden_file = source_folder() / "tests/golden" / (name + ".png");
    char const* const bless = std::getenv("TABARD_BLESS");
    if (bless != nullptr && bless == name) {
        write_png(golden_file, actual);
        return "";
    }
    Bitmap const golden = read_png(golden_file);
    double const seen = golden.at.empty() ? std::numeric_limits<double>::infinity() : visibility(actual, golden);
    if (seen < kVisible)
        return "";
    std::filesystem::path const out = build_folder() / "golden";
    write_png(out / (name + ".actual.png"), actual);
    if (!golden.at.empty())
        write_png(out / (name + ".golden.png"), golden);
    if (same_size(actual, golden))
        write_png(out / (name + ".difference.png"), amplified_difference(actual, golden));
    return fmt::format("{} differs from its golden picture (visibility {:.2f}, limit {}).\n"
                       "Look at {}/{}.*.png. If the new picture is right:\n"
                       "  TABARD_BLESS='{}' ctest --preset dev -R overlay::drawing",
                       name, seen, kVisible, out.string(), name, name);
}

} // namespace tabard::tests
