#include "overlay/drawing/text_fit.h"

#include "overlay/drawing/cards.h"

namespace tabard::overlay {

bool text_fits(TextCard const& card, Stage const& stage, Theme const& theme)
{
    Surface const surface(cairo_image_surface_create(CAIRO_FORMAT_A8, 1, 1));
    Context const context(cairo_create(surface.get()));
    Type const type(*context, theme.font);
    Layout const layout = make_layout(stage);
    SetText const text = set_text({*context, type, theme, layout, stage}, card);
    return !pango_layout_is_ellipsized(text.paragraph.layout.get());
}

} // namespace tabard::overlay
