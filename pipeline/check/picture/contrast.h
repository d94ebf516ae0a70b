#pragma once
#include "overlay/drawing/colour.h"
#include "pipeline/check/picture/occlusion.h"

#include <array>
#include <map>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// What stands in each cell of a picture: its darkest part, its mean, its lightest part.
using Grounds = std::array<std::array<overlay::Colour, 3>, kGridCells>;
Grounds grounds(Grid const& means, RangeGrid const& ranges, ColourTags const& colour);

/// How well the overlays' text can be read over footage that their cards let through: contrast after WCAG 2.x of a text
/// with its card laid over the footage, at the worst place where such text really stands.
class ContrastMeter {
public:
    /// Errors: as overlay::Painter::create().
    static Result<ContrastMeter> create(overlay::Stage const& stage, overlay::Theme const& theme);

    /// The lowest contrast of any text of a scene, as if all were faded in; none where there is no text.
    std::optional<double> lowest(overlay::Scene const& scene, Grounds const& footage);

private:
    struct TextCell {
        std::size_t cell;
        overlay::Colour text;
    };
    using Key = std::pair<overlay::LayerContent, std::optional<overlay::Corner>>;

    ContrastMeter(overlay::Theme const& theme, OcclusionPainter painter) : m_theme(theme), m_painter(std::move(painter))
    {
    }
    std::vector<TextCell> const& text_of(overlay::Layer const& layer);
    double contrast(overlay::Colour text, overlay::Colour footage, bool tinted) const;

    overlay::Theme m_theme;
    OcclusionPainter m_painter;
    std::map<Key, std::vector<TextCell>> m_text;
};

} // namespace tabard::pipeline
