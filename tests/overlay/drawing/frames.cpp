// Developer program: draws sample scenes over a stand-in for footage and writes them as PNG files.
//   drawing_frames FOLDER
#include "overlay/drawing/painter.h"
#include "overlay/drawing/png.h"
#include "tests/overlay/drawing/samples.h"
#include "tests/support/paths.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <functional>
#include <sstream>
#include <string>
#include <utility>

#include <cairo.h>
#include <fmt/format.h>

namespace {
using namespace tabard;
using namespace tabard::overlay;

/// Something like a player in a lit room: gradients, a body, a neck with frets and strings that rises to the right.
Bitmap footage(int width, int height)
{
    cairo_surface_t* surface = cairo_image_surface_create(CAIRO_FORMAT_ARGB32, width, height);
    cairo_t* cr = cairo_create(surface);
    double const w = width;
    double const h = height;
    double const s = std::min(w, h);
    auto radial = [&](double x, double y, double r, double red, double green, double blue, double alpha) {
        cairo_pattern_t* light = cairo_pattern_create_radial(x, y, 0, x, y, r);
        cairo_pattern_add_color_stop_rgba(light, 0, red, green, blue, alpha);
        cairo_pattern_add_color_stop_rgba(light, 1, red, green, blue, 0);
        cairo_set_source(cr, light);
        cairo_paint(cr);
        cairo_pattern_destroy(light);
    };
    cairo_set_source_rgb(cr, 0.20, 0.19, 0.20);
    cairo_paint(cr);
    radial(w * 0.15, h * 0.1, s * 1.1, 0.85, 0.66, 0.42, 0.9);
    radial(w * 0.9, h * 0.3, s * 0.9, 0.35, 0.45, 0.55, 0.8);
    auto blob = [&](double x, double y, double rx, double ry, double red, double green, double blue) {
        cairo_save(cr);
        cairo_translate(cr, x, y);
        cairo_scale(cr, rx, ry);
        cairo_arc(cr, 0, 0, 1, 0, 6.2832);
        cairo_restore(cr);
        cairo_set_source_rgb(cr, red, green, blue);
        cairo_fill(cr);
    };
    blob(w * 0.5, h * 0.85, s * 0.38, s * 0.45, 0.22, 0.27, 0.36);
    blob(w * 0.5, h * 0.24, s * 0.10, s * 0.135, 0.78, 0.60, 0.49);
    blob(w * 0.5, h * 0.18, s * 0.11, s * 0.09, 0.23, 0.15, 0.11);
    cairo_save(cr);
    cairo_translate(cr, w * 0.46, h * 0.66);
    cairo_rotate(cr, -0.22);
    auto local = [&](double x, double y, double rx, double ry, double red, double green, double blue) {
        blob(x * s, y * s, rx * s, ry * s, red, green, blue);
    };
    local(-0.20, 0, 0.24, 0.20, 0.72, 0.47, 0.22);
    local(0.03, 0, 0.18, 0.155, 0.72, 0.47, 0.22);
    local(-0.03, 0, 0.07, 0.07, 0.10, 0.07, 0.05);
    cairo_set_source_rgb(cr, 0.24, 0.15, 0.10);
    cairo_rectangle(cr, 0.02 * s, -0.035 * s, 0.62 * s, 0.07 * s);
    cairo_fill(cr);
    cairo_set_source_rgb(cr, 0.75, 0.72, 0.66);
    for (int fret = 0; fret < 14; ++fret)
        cairo_rectangle(cr, s * (0.64 - 0.62 * (1 - std::pow(0.9439, fret))), -0.035 * s, 0.004 * s, 0.07 * s);
    cairo_fill(cr);
    for (int string = 0; string < 6; ++string)
        cairo_rectangle(cr, -0.22 * s, s * (-0.028 + 0.011 * string), 0.9 * s, 0.0022 * s);
    cairo_fill(cr);
    local(0.54, 0.0, 0.05, 0.055, 0.80, 0.62, 0.50);
    local(-0.06, -0.02, 0.065, 0.05, 0.80, 0.62, 0.50);
    cairo_restore(cr);
    cairo_surface_flush(surface);
    Bitmap bitmap{{0, 0, width, height}, {}};
    auto const* data = reinterpret_cast<std::uint32_t const*>(cairo_image_surface_get_data(surface));
    bitmap.pixels.assign(data, data + static_cast<std::ptrdiff_t>(width) * height);
    cairo_destroy(cr);
    cairo_surface_destroy(surface);
    return bitmap;
}

void lay_over(Bitmap const& top, Bitmap& picture)
{
    for (int y = 0; y < top.at.height; ++y)
        for (int x = 0; x < top.at.width; ++x) {
            std::uint32_t const source = top.pixels[static_cast<std::size_t>(y * top.at.width + x)];
            std::uint32_t& target =
                picture.pixels[static_cast<std::size_t>((y + top.at.y) * picture.at.width + x + top.at.x)];
            std::uint32_t const keep = 255 - (source >> 24);
            std::uint32_t result = 0;
            for (int shift = 0; shift < 32; shift += 8)
                result |= (((source >> shift) & 0xFF) + (((target >> shift) & 0xFF) * keep + 127) / 255) << shift;
            target = result;
        }
}

Theme theme_from(std::filesystem::path const& file)
{
    std::ostringstream text;
    text << std::ifstream(file).rdbuf();
    return *parse_theme(text.str());
}

void write(std::filesystem::path const& file, Bitmap const& bitmap)
{
    auto const bytes = *encode_png(bitmap);
    std::ofstream(file, std::ios::binary)
        .write(reinterpret_cast<char const*>(bytes.data()), static_cast<std::streamsize>(bytes.size()));
}

} // namespace

int main(int argc, char** argv)
{
    if (argc != 2) {
        std::fputs("usage: drawing_frames FOLDER\n", stderr);
        return 2;
    }
    std::filesystem::path const folder = argv[1];
    std::filesystem::path const themes = tests::source_folder() / "templates/themes";
    struct Size {
        int width;
        int height;
    };
    std::pair<char const*, std::function<Scene()>> const scenes[] = {
        {"playing", samples::playing},     {"everything", samples::everything}, {"talk", samples::talk},
        {"last_beat", samples::last_beat}, {"crowded", samples::crowded},       {"no_chord", samples::no_chord}};
    for (Size const size :
         {Size{1920, 1080}, Size{1280, 720}, Size{1440, 1080}, Size{1080, 1080}, Size{1080, 1920}, Size{2560, 1080}})
        for (char const* theme : {"light_card", "dark_card"})
            for (auto const& [name, scene] : scenes) {
                Stage stage{size.width, size.height, size.width, size.height};
                stage.capo = 4;
                auto painter = *Painter::create(stage, theme_from(themes / (std::string{theme} + ".json")));
                Bitmap picture = footage(size.width, size.height);
                for (auto const& layer : scene().layers)
                    lay_over(*painter.paint(layer.content), picture);
                write(folder / fmt::format("{}_{}_{}x{}.png", name, theme, size.width, size.height), picture);
            }
    return 0;
}
