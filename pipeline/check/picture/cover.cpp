#include "pipeline/check/picture/cover.h"

#include "overlay/drawing/painter.h"

namespace tabard::pipeline {
namespace {

constexpr int kPixelsPerCell = 10;
constexpr std::size_t kMostLayers = 256; // kept; 37 kB each

Rgb operator+(Rgb a, Rgb b) { return {a.red + b.red, a.green + b.green, a.blue + b.blue}; }
Rgb operator*(Rgb a, float k) { return {a.red * k, a.green * k, a.blue * k}; }

CoverCell over(CoverCell top, CoverCell below)
{
    return {top.colour + below.colour * (1 - top.alpha), top.alpha + below.alpha * (1 - top.alpha)};
}

} // namespace

RgbGrid covered(RgbGrid const& footage, Cover const& cover)
{
    RgbGrid result;
    for (std::size_t i = 0; i < kGridCells; ++i)
        result[i] = cover[i].colour + footage[i] * (1 - cover[i].alpha);
    return result;
}

CoverPainter::CoverPainter(overlay::Painter painter) : m_painter(std::make_unique<overlay::Painter>(std::move(painter)))
{
}
CoverPainter::CoverPainter(CoverPainter&&) noexcept = default;
CoverPainter& CoverPainter::operator=(CoverPainter&&) noexcept = default;
CoverPainter::~CoverPainter() = default;

Result<CoverPainter> CoverPainter::create(overlay::Stage stage, overlay::Theme const& theme)
{
    stage.raster_width = kGridSide * kPixelsPerCell; // cells of whole pixels, whatever the picture's shape
    stage.raster_height = kGridSide * kPixelsPerCell;
    TRY_ASSIGN(auto painter, overlay::Painter::create(stage, theme));
    return CoverPainter{std::move(painter)};
}

std::shared_ptr<Cover const> CoverPainter::layer(overlay::LayerContent const& content,
                                                 std::optional<overlay::Corner> corner)
{
    if (auto const known = m_layers.find({content, corner}); known != m_layers.end())
        return known->second;
    auto const bitmap = m_painter->paint(content, corner);
    auto cover = std::make_shared<Cover>();
    constexpr float kShare = 1.0F / (255.0F * kPixelsPerCell * kPixelsPerCell);
    for (int y = 0; y < bitmap->at.height; ++y) {
        int const row = (bitmap->at.y + y) / kPixelsPerCell;
        for (int x = 0; x < bitmap->at.width; ++x) {
            int const column = (bitmap->at.x + x) / kPixelsPerCell;
            auto const pixel = bitmap->pixels[static_cast<std::size_t>(y * bitmap->at.width + x)];
            if (pixel == 0 || row < 0 || row >= kGridSide || column < 0 || column >= kGridSide)
                continue;
            auto const part = [pixel](unsigned shift) { return static_cast<float>((pixel >> shift) & 0xffU) * kShare; };
            auto& cell = (*cover)[static_cast<std::size_t>(row * kGridSide + column)];
            cell.colour = cell.colour + Rgb{part(16), part(8), part(0)};
            cell.alpha += part(24);
        }
    }
    if (m_layers.size() >= kMostLayers)
        m_layers.clear();
    return m_layers[{content, corner}] = cover;
}

Cover CoverPainter::cover(overlay::Scene const& scene)
{
    Cover result{};
    for (auto const& [content, level, corner] : scene.layers) {
        auto const cells = layer(content, corner);
        float const share = static_cast<float>(level) / overlay::kFullLevel;
        for (std::size_t i = 0; i < kGridCells; ++i)
            if ((*cells)[i].alpha > 0)
                result[i] = over({(*cells)[i].colour * share, (*cells)[i].alpha * share}, result[i]);
    }
    return result;
}

Cover CoverPainter::cover_moved(overlay::Scene scene, overlay::Corner from, overlay::Corner to)
{
    for (auto& layer : scene.layers)
        if (layer.corner.value_or(m_painter->stage().corner) == from)
            layer.corner = to;
    return cover(scene);
}

} // namespace tabard::pipeline
