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
struct OcclusionCell {
    Rgb colour;
    float alpha = 0;
};
using Occlusion = std::array<OcclusionCell, kGridCells>;

/// The picture with the overlays over it.
RgbGrid covered(RgbGrid const& footage, Occlusion const& occlusion);

/// Draws scenes as the film will show them, to be measured.
class OcclusionPainter {
public:
    /// `stage` as for the film; its raster size is not used. Errors: as overlay::Painter::create().
    static Result<OcclusionPainter> create(overlay::Stage stage, overlay::Theme const& theme);
    OcclusionPainter(OcclusionPainter&&) noexcept;
    OcclusionPainter& operator=(OcclusionPainter&&) noexcept;
    ~OcclusionPainter();

    Occlusion occlusion(overlay::Scene const& scene);
    /// The same with what is in one corner moved to another.
    Occlusion occlusion_moved(overlay::Scene scene, overlay::Corner from, overlay::Corner to);

private:
    explicit OcclusionPainter(overlay::Painter painter);
    std::shared_ptr<Occlusion const> layer(overlay::LayerContent const& content, std::optional<overlay::Corner> corner);
    std::unique_ptr<overlay::Painter> m_painter;
    std::map<std::pair<overlay::LayerContent, std::optional<overlay::Corner>>, std::shared_ptr<Occlusion const>>
        m_layers;
};

} // namespace tabard::pipeline
