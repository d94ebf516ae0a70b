#include "pipeline/check/picture/occlusion.h"

#include "overlay/drawing/painter.h"

namespace tabard::pipeline {
namespace {

constexpr int kPixelsPerCell = 10;
constexpr std::size_t kMostLayers = 256; // kept; 37 kB each

Rgb operator+(Rgb a, Rgb b) { return {a.red + b.red, a.green + b.green, a.blue + b.blue}; }
Rgb operator*(Rgb a, float k) { return {a.red * k, a.green * k, a.blue * k}; }

OcclusionCell over(OcclusionCell top, OcclusionCell below)
{
    return {top.colour + below.colour * (1 - top.alpha), top.alpha + below.alpha * (1 - top.alpha)};
}

} // namespace

RgbGrid covered(RgbGrid const& footage, Occlusion const& occlusion)
{
    RgbGrid result;
    for (std::size_t i = 0; i < kGridCells; ++i)
        result[i] = occlusion[i].colour + footage[i] * (1 - occlusion[i].alpha);
    return result;
}

OcclusionPainter::OcclusionPainter(overlay::Painter painter)
    : m_painter(std::make_unique<overlay::Painter>(std::move(painter)))
{
}
OcclusionPainter::OcclusionPainter(OcclusionPainter&&) noexcept = default;
OcclusionPainter& OcclusionPainter::operator=(OcclusionPainter&&) noexcept = default;
OcclusionPainter::~OcclusionPainter() = default;

Result<OcclusionPainter> OcclusionPainter::create(overlay::Stage stage, overlay::Theme const& theme)
{
    stage.raster_width = kGridSide * kPixelsPerCell; // cells of whole pixels, whatever the picture's shape
    stage.raster_height = kGridSide * kPixelsPerCell;
    TRY_ASSIGN(auto painter, overlay::Painter::create(stage, theme));
    return OcclusionPainter{std::move(painter)};
}

std::shared_ptr<Occlusion const> OcclusionPainter::layer(overlay::LayerContent const& content,
                                                         std::optional<overlay::Corner> corner)
{
    if (auto const known = m_layers.find({content, corner}); known != m_layers.end())
        return known->second;
    auto const bitmap = m_painter->paint(content, corner);
    auto occlusion = std::make_shared<Occlusion>();
    constexpr float kShare = 1.0F / (255.0F * kPixelsPerCell * kPixelsPerCell);
    for (int y = 0; y < bitmap->at.height; ++y) {
        int const row = (bitmap->at.y + y) / kPixelsPerCell;
        for (int x = 0; x < bitmap->at.width; ++x) {
            int const column = (bitmap->at.x + x) / kPixelsPerCell;
            auto const pixel = bitmap->pixels[static_cast<std::size_t>(y * bitmap->at.width + x)];
            if (pixel == 0 || row < 0 || row >= kGridSide || column < 0 || column >= kGridSide)
                continue;
            auto const part = [pixel](unsigned shift) { return static_cast<float>((pixel >> shift) & 0xffU) * kShare; };
            auto& cell = (*occlusion)[static_cast<std::size_t>(row * kGridSide + column)];
            cell.colour = cell.colour + Rgb{part(16), part(8), part(0)};
            cell.alpha += part(24);
        }
    }
    if (m_layers.size() >= kMostLayers)
        m_layers.clear();
    return m_layers[{content, corner}] = occlusion;
}

Occlusion OcclusionPainter::occlusion(overlay::Scene const& scene)
{
    Occlusion result{};
    for (auto const& [content, level, corner] : scene.layers) {
        auto const cells = layer(content, corner);
        float const share = static_cast<float>(level) / overlay::kFullLevel;
        for (std::size_t i = 0; i < kGridCells; ++i)
            if ((*cells)[i].alpha > 0)
                result[i] = over({(*cells)[i].colour * share, (*cells)[i].alpha * share}, result[i]);
    }
    return result;
}

Occlusion OcclusionPainter::occlusion_moved(overlay::Scene scene, overlay::Corner from, overlay::Corner to)
{
    for (auto& layer : scene.layers)
        if (layer.corner.value_or(m_painter->stage().corner) == from)
            layer.corner = to;
    return occlusion(scene);
}

} // namespace tabard::pipeline
