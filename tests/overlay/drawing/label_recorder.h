#pragma once
#include "overlay/drawing/cards.h"

#include <string>
#include <vector>

#include <cairo.h>
#include <pango/pangocairo.h>

// The words of cards as they are drawn, with their sizes, read from the drawing itself and not from its pixels.
namespace tabard::overlay::samples {

struct Label {
    std::string text;
    double em = 0; ///< height, in display pixels
    double left = 0;
    double right = 0;
    bool cut = false; ///< ends with an ellipsis
};

class LabelRecorder : public VectorTarget {
public:
    void fill(cairo_t&, Colour) override {}
    void stroke(cairo_t&, Colour, double) override {}
    void show(cairo_t& cr, PangoLayout& text, Colour, Letters) override
    {
        cairo_matrix_t matrix;
        cairo_get_matrix(&cr, &matrix);
        double const size =
            pango_font_description_get_size(pango_layout_get_font_description(&text)) / double{PANGO_SCALE};
        double x = 0;
        double y = 0;
        cairo_get_current_point(&cr, &x, &y);
        cairo_user_to_device(&cr, &x, &y);
        PangoRectangle logical;
        pango_layout_get_extents(&text, nullptr, &logical);
        if (std::string const words = pango_layout_get_text(&text); !words.empty())
            labels.push_back({words, size * matrix.yy, x, x + matrix.xx * logical.width / PANGO_SCALE,
                              pango_layout_is_ellipsized(&text) != 0});
    }
    std::vector<Label> labels;
};

inline std::vector<Label> labels_of(LayerContent const& content, Stage const& stage, Theme const& theme = {})
{
    Surface const surface{cairo_recording_surface_create(CAIRO_CONTENT_ALPHA, nullptr)};
    Context const cr{cairo_create(surface.get())};
    LabelRecorder recorder;
    draw_onto(recorder, *cr);
    Type const type{*cr, theme.font};
    Layout const layout = make_layout(stage);
    CardContext const context{*cr, type, theme, layout, stage};
    std::visit([&](auto const& card) { draw_card(context, card); }, content);
    return recorder.labels;
}

} // namespace tabard::overlay::samples
