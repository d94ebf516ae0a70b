#include "overlay/ass/card_scribe.h"

#include "overlay/ass/recorder.h"
#include "overlay/base/precondition.h"
#include "overlay/drawing/cards.h"
#include "overlay/drawing/painter.h"

#include <fmt/format.h>

namespace tabard::overlay {

/// What all cards are drawn with: finding fonts takes longer than drawing.
struct CardScribe::Pen {
    Pen(FilmFonts& fonts, std::string const& font)
        : recorder(fonts),
          surface(cairo_recording_surface_create(CAIRO_CONTENT_ALPHA, nullptr)),
          context(cairo_create(surface.get())),
          type(*context, font)
    {
        draw_onto(recorder, *context);
    }

    Recorder recorder;
    Surface surface; ///< without bounds: Cairo leaves out letters that lie far outside of one
    Context context;
    Type type;
};

CardScribe::CardScribe(Stage stage, Theme theme, FilmFonts& fonts)
    : m_stage(stage), m_theme(std::move(theme)), m_pen(std::make_unique<Pen>(fonts, m_theme.font))
{
}
CardScribe::CardScribe(CardScribe&&) noexcept = default;
CardScribe& CardScribe::operator=(CardScribe&&) noexcept = default;
CardScribe::~CardScribe() = default;

Result<CardScribe> CardScribe::create(Stage stage, Theme theme, FilmFonts& fonts)
{
    stage.raster_width = stage.display_width;
    stage.raster_height = stage.display_height;
    TRY_VOID(Painter::create(stage, theme));
    return CardScribe{stage, std::move(theme), fonts};
}

CardScribe::Key CardScribe::key_of(LayerContent const& content, std::optional<Corner> corner, Hand hand) const
{
    bool const has_diagram =
        std::holds_alternative<ChordCard>(content) || std::holds_alternative<NextChordCard>(content);
    return {content, corner.value_or(m_stage.corner), has_diagram ? hand : Hand::right};
}

void CardScribe::draw(LayerContent const& content, std::optional<Corner> corner, Hand hand)
{
    auto const [drawn, is_new] = m_drawn.try_emplace(key_of(content, corner, hand));
    if (!is_new)
        return;
    Stage placed = m_stage;
    placed.corner = std::get<Corner>(drawn->first);
    placed.left_handed = hand == Hand::left;
    drawn->second = recorded(content, placed);
}

std::vector<CardElement const*> const& CardScribe::elements(LayerContent const& content, std::optional<Corner> corner,
                                                            Hand hand) const
{
    auto const drawn = m_drawn.find(key_of(content, corner, hand));
    PRECONDITION(drawn != m_drawn.end());
    return drawn->second;
}

std::vector<CardElement const*> CardScribe::recorded(LayerContent const& content, Stage const& placed)
{
    Layout const layout = make_layout(placed);
    CardContext const context{*m_pen->context, m_pen->type, m_theme, layout, placed};
    std::visit([&](auto const& card) { draw_card(context, card); }, content);
    cairo_status_t const status = cairo_status(m_pen->context.get());
    if (!m_failure && status != CAIRO_STATUS_SUCCESS)
        m_failure = Error{ErrorKind::io, fmt::format("an overlay cannot be drawn: {}", cairo_status_to_string(status))};
    else if (!m_failure && !m_pen->type.fonts_were_read())
        m_failure =
            Error{ErrorKind::io, "an overlay cannot be drawn: a font file cannot be read (too many open files?)"};
    std::vector<CardElement const*> elements;
    for (CardElement& element : m_pen->recorder.take())
        elements.push_back(&*m_elements.insert(std::move(element)).first);
    m_lost = m_pen->recorder.lost_letters();
    return elements;
}

} // namespace tabard::overlay
