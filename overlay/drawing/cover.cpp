#include "overlay/drawing/cover.h"

#include "overlay/drawing/chord_diagram.h"
#include "overlay/drawing/type.h"

#include <algorithm>

namespace tabard::overlay {
namespace {

constexpr double kSafe = 0.05; ///< the title-safe area leaves that much of each side

/// Fills the cover with the picture, its middle in the middle.
void draw_ground(cairo_t& cr, Bitmap const& picture, Theme const& theme)
{
    set_colour(cr, over(theme.card, {}));
    cairo_paint(&cr);
    if (picture.at.empty())
        return;
    Surface const surface{cairo_image_surface_create(CAIRO_FORMAT_ARGB32, picture.at.width, picture.at.height)};
    copy_into(picture, {0, 0, picture.at.width, picture.at.height}, *surface);
    double const scale = std::max(static_cast<double>(kCoverWidth) / picture.at.width,
                                  static_cast<double>(kCoverHeight) / picture.at.height);
    cairo_save(&cr);
    cairo_translate(&cr, kCoverWidth / 2.0, kCoverHeight / 2.0);
    cairo_scale(&cr, scale, scale);
    cairo_set_source_surface(&cr, surface.get(), -picture.at.width / 2.0, -picture.at.height / 2.0);
    cairo_pattern_set_filter(cairo_get_source(&cr), CAIRO_FILTER_GOOD);
    cairo_paint(&cr);
    cairo_restore(&cr);
}

void draw_emblem(cairo_t& cr, Type const& type, CoverText const& text, Box box, Theme const& theme)
{
    DiagramStyle style{theme.ink,    theme.line,   theme.string,        theme.dot,
                       theme.on_dot, theme.accent, over(theme.card, {})};
    style.top = text.capo ? TopEdge::capo : TopEdge::nut;
    style.left_handed = text.left_handed;
    draw_diagram(cr, type, *text.emblem, {}, box, style);
}

} // namespace

Bitmap compose_cover(Bitmap const& picture, CoverText const& text, Theme const& theme)
{
    Surface const surface{cairo_image_surface_create(CAIRO_FORMAT_ARGB32, kCoverWidth, kCoverHeight)};
    Context const context{cairo_create(surface.get())};
    cairo_t& cr = *context;
    draw_ground(cr, picture, theme);

    constexpr double kPad = 36;
    constexpr double kEmblem = 128;
    Type const type{cr, theme.font};
    double const emblem_room = text.emblem ? kEmblem + 76 : 0;
    double const room = kCoverWidth * (1 - 2 * kSafe) - 2 * kPad - emblem_room;
    // A title on one line, as large as that allows; a long one on two.
    Type::Paragraph title;
    for (auto const& [size, lines] : {std::pair{92.0, 1}, {80.0, 1}, {68.0, 1}, {64.0, 2}, {52.0, 2}, {44.0, 2}}) {
        title = type.paragraph(text.title, {size, Weight::bold, theme.ink}, room, size > 44 ? 9 : lines, 1.05);
        if (title.height <= lines * size * 1.35)
            break;
    }
    TextStyle const small{34, Weight::medium, theme.soft_ink};
    double const subtitle = text.subtitle.empty() ? 0 : 52;
    double const content = std::max(title.height + subtitle, text.emblem ? kEmblem * 1.25 + 22 : 0.0);
    double const text_width = std::max(title.width, std::min(room, type.width(text.subtitle, small)));
    Box const card{kCoverWidth * kSafe, kCoverHeight * (1 - kSafe) - content - 2 * kPad,
                   text_width + emblem_room + 2 * kPad, content + 2 * kPad};
    round_box(cr, card, 1.4 * theme.corner_radius);
    fill(cr, theme.card);
    if (text.emblem)
        draw_emblem(cr, type, text,
                    {card.x + kPad + 14, card.bottom() - kPad - kEmblem * 1.25, kEmblem, kEmblem * 1.25}, theme);
    double const left = card.x + kPad + emblem_room;
    double const top = card.centre_y() - (title.height + subtitle) / 2;
    type.draw(title, {left, top}, theme.ink);
    if (!text.subtitle.empty())
        type.draw_fitted(text.subtitle, {left, top + title.height + 40}, small, room);
    return crop_to_ink(*surface, {});
}

} // namespace tabard::overlay
