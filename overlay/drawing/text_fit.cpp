#include "overlay/drawing/text_fit.h"

#include "overlay/drawing/cards.h"

namespace tabard::overlay {

namespace {

template <class Question>
auto ask(Stage const& stage, Theme const& theme, Question question)
{
    Surface const surface(cairo_image_surface_create(CAIRO_FORMAT_A8, 1, 1));
    Context const context(cairo_create(surface.get()));
    Type const type(*context, theme.font);
    Layout const layout = make_layout(stage);
    return question(CardContext{*context, type, theme, layout, stage});
}

} // namespace

bool text_fits(TextCard const& card, Stage const& stage, Theme const& theme)
{
    return ask(stage, theme, [&](CardContext const& context) {
        return !pango_layout_is_ellipsized(set_text(context, card).paragraph.layout.get());
    });
}

bool name_fits(ChordLabel const& label, Stage const& stage, Theme const& theme)
{
    return ask(stage, theme, [&](CardContext const& context) { return names_fit(context, label); });
}

} // namespace tabard::overlay
