#include "overlay/drawing/chord_chart.h"

#include "overlay/drawing/byte_sink.h"
#include "overlay/drawing/canvas.h"
#include "overlay/drawing/chord_diagram.h"
#include "overlay/drawing/chord_lettering.h"

#include <algorithm>

#include <cairo-pdf.h>
#include <cairo-svg.h>

namespace tabard::overlay {
namespace {

// In points.
constexpr double kCellWidth = 170;
constexpr double kCellHeight = 216;
constexpr double kMargin = 16;
constexpr double kPngScale = 2;

struct Size {
    double width;
    double height;
};

Surface surface_of(ChartFormat format, Size size, std::vector<std::byte>& bytes)
{
    switch (format) {
    case ChartFormat::svg:
        return Surface{cairo_svg_surface_create_for_stream(append_bytes, &bytes, size.width, size.height)};
    case ChartFormat::pdf:
        return Surface{cairo_pdf_surface_create_for_stream(append_bytes, &bytes, size.width, size.height)};
    case ChartFormat::png:
        break;
    }
    return Surface{cairo_image_surface_create(CAIRO_FORMAT_ARGB32, static_cast<int>(size.width * kPngScale),
                                              static_cast<int>(size.height * kPngScale))};
}

void draw_entry(cairo_t& cr, Type const& type, ChartEntry const& entry, Box cell, DiagramStyle const& style,
                Theme const& theme)
{
    constexpr double kNameSize = 24;
    ChordNameStyle const name{kNameSize, Weight::bold, theme.ink, theme.soft_ink};
    double const name_width = std::min(chord_name_width(type, entry.label, name), cell.width - 12);
    draw_chord_name(cr, type, entry.label, {cell.centre_x() - name_width / 2, cell.y + 26}, name, cell.width - 12);
    double const grid_width = 16.0 * static_cast<double>(std::max<std::size_t>(entry.shape.frets.size(), 2) - 1);
    Box const grid{cell.centre_x() - grid_width / 2, cell.y + 62, grid_width, 108};
    draw_diagram(cr, type, entry.shape, {}, grid, style);
    TextStyle const caption{10, Weight::regular, theme.soft_ink};
    double const width = std::min(type.width(entry.caption, caption), cell.width - 8);
    type.draw_fitted(entry.caption, {cell.centre_x() - width / 2, cell.bottom() - 22}, caption, cell.width - 8);
}

} // namespace

Result<std::vector<std::byte>> draw_chord_chart(std::vector<ChartEntry> const& entries, std::size_t columns,
                                                ChartFormat format, Theme const& theme, int capo, bool left_handed)
{
    if (entries.empty() || columns == 0)
        return Error{ErrorKind::invalid_input, "there is no shape to draw"};
    auto const wide = std::min(columns, entries.size());
    auto const rows = (entries.size() + wide - 1) / wide;
    Size const size{kCellWidth * static_cast<double>(wide) + 2 * kMargin,
                    kCellHeight * static_cast<double>(rows) + 2 * kMargin};
    std::vector<std::byte> bytes;
    auto const surface = surface_of(format, size, bytes);
    Context const cr{cairo_create(surface.get())};
    if (format == ChartFormat::png)
        cairo_scale(cr.get(), kPngScale, kPngScale);
    Colour const paper{theme.card.red, theme.card.green, theme.card.blue};
    set_colour(*cr, paper);
    cairo_paint(cr.get());
    Type const type(*cr, theme.font);
    DiagramStyle const style{theme.ink,
                             theme.line,
                             theme.string,
                             theme.dot,
                             theme.on_dot,
                             theme.accent,
                             paper,
                             capo > 0 ? TopEdge::capo : TopEdge::nut,
                             FingerNumbers::shown,
                             left_handed,
                             0};
    for (std::size_t i = 0; i < entries.size(); ++i)
        draw_entry(*cr, type, entries[i],
                   {kMargin + kCellWidth * static_cast<double>(i % wide),
                    kMargin + kCellHeight * static_cast<double>(i / wide), kCellWidth, kCellHeight},
                   style, theme);
    if (format == ChartFormat::png)
        cairo_surface_write_to_png_stream(surface.get(), append_bytes, &bytes);
    cairo_surface_finish(surface.get());
    if (auto const status = cairo_surface_status(surface.get()); status != CAIRO_STATUS_SUCCESS)
        return Error{ErrorKind::io, std::string{"cannot draw the chart: "} + cairo_status_to_string(status)};
    return bytes;
}

} // namespace tabard::overlay
