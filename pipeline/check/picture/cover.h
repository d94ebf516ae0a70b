#pragma once
#include "overlay/base/result.h"
#include "overlay/drawing/scene.h"
#include "overlay/drawing/stage.h"
#include "overlay/drawing/theme.h"
#include "pipeline/check/picture/light.h"

#include <map>
#include <memory>

namespace tabard::overlay {
class Painter;
}

namespace tabard::pipeline {

/// How much of each cell the overlays hide, and with what: the mean of their premultiplied colour.
struct CoverCell {
    Rgb colour;
    float alpha = 0;
};
using Cover = std::array<CoverCell, kGridCells>;

/// The picture with the overlays over it.
RgbGrid covered(RgbGrid const& footage, Cover const& cover);

/// Draws scenes as the film will show them, to be measured.
class CoverPainter {
public:
    /// `stage` as for the film; its raster size is not used. Errors: as overlay::Painter::create().
    static Result<CoverPainter> create(overlay::Stage stage, overlay::Theme const& theme);
    CoverPainter(CoverPainter&&) noexcept;
    CoverPainter& operator=(CoverPainter&&) noexcept;
    ~CoverPainter();

    Cover cover(overlay::Scene const& scene);
    /// The same with what is in one corner moved to another.
    Cover cover_moved(overlay::Scene scene, overlay::Corner from, overlay::Corner to);

private:
    explicit CoverPainter(overlay::Painter painter);
    std::shared_ptr<Cover const> layer(overlay::LayerContent const& content, std::optional<overlay::Corner> corner);
    std::unique_ptr<overlay::Painter> m_painter;
    std::map<std::pair<overlay::LayerContent, std::optional<overlay::Corner>>, std::shared_ptr<Cover const>> m_layers;
};

} // namespace tabard::pipeline
