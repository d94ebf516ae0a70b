#include "overlay/ass/card_scribe.h"

#include "overlay/ass/recorder.h"
#include "overlay/drawing/cards.h"
#include "overlay/drawing/painter.h"

#include <fmt/format.h>

namespace tabard::overlay {

CardScribe::CardScribe(Stage stage, Theme theme, FilmFonts& fonts)
    : m_stage(stage), m_theme(std::move(theme)), m_fonts(&fonts)
{
}

Result<CardScribe> CardScribe::create(Stage stage, Theme theme, FilmFonts& fonts)
{
    stage.raster_width = stage.display_width;
    stage.raster_height = stage.display_height;
    TRY_VOID(Painter::create(stage, theme));
    return CardScribe{stage, std::move(theme), fonts};
}

std::vector<CardElement> const& CardScribe::elements(LayerContent const& content, std::optional<Corner> corner)
{
    std::pair const key{content, corner.value_or(m_stage.corner)};
    if (auto const known = m_drawn.find(key); known != m_drawn.end())
        return known->second;
    return m_drawn.emplace(key, draw(content, key.second)).first->second;
}

std::vector<CardElement> CardScribe::draw(LayerContent const& content, Corner corner)
{
    Stage placed = m_stage;
    placed.corner = corner;
    Layout const layout = make_layout(placed);
    // Without bounds: Cairo leaves out letters that lie far outside of a surface.
    Surface const surface{cairo_recording_surface_create(CAIRO_CONTENT_ALPHA, nullptr)};
    Context const cr{cairo_create(surface.get())};
    Recorder recorder(*m_fonts);
    draw_onto(recorder, *cr);
    Type const type{*cr, m_theme.font};
    CardContext const context{*cr, type, m_theme, layout, placed};
    std::visit([&](auto const& card) { draw_card(context, card); }, content);
    if (cairo_status_t const status = cairo_status(cr.get()); !m_failure && status != CAIRO_STATUS_SUCCESS)
        m_failure = Error{ErrorKind::io, fmt::format("an overlay cannot be drawn: {}", cairo_status_to_string(status))};
    else if (!m_failure && !type.fonts_were_read())
        m_failure =
            Error{ErrorKind::io, "an overlay cannot be drawn: a font file cannot be read (too many open files?)"};
    m_lost.insert(recorder.lost_letters().begin(), recorder.lost_letters().end());
    return recorder.take();
}

} // namespace tabard::overlay
