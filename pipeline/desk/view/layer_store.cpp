#include "pipeline/desk/view/layer_store.h"

#include "pipeline/desk/view/fast_png.h"
#include "pipeline/media/digest.h"
#include "pipeline/render/scene_digest.h"

#include <algorithm>
#include <bit>
#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

// About a minute of a busy lesson has a thousand; one is a few hundred bytes.
constexpr std::size_t kMostLayers = 8192;
constexpr std::size_t kMostBrushes = 2;
constexpr std::size_t kKeptBytes = 4u << 20; // the page keeps what it was given
// The longer side: more than a page's film has on most screens.
constexpr int kMostPixels = 1920;

// Every member is taken by a structured binding: one that is added stops the build here.
void add(Digest& digest, overlay::Theme const& theme)
{
    auto const& [name, font, radius, card, edge, ink, soft_ink, line, string, dot, on_dot, accent, on_accent, capo,
                 on_capo] = theme;
    digest.add(font).add(std::bit_cast<std::int64_t>(radius));
    for (overlay::Colour const colour :
         {card, edge, ink, soft_ink, line, string, dot, on_dot, accent, on_accent, capo, on_capo})
        digest.add(std::int64_t{colour.red} << 24 | std::int64_t{colour.green} << 16 | std::int64_t{colour.blue} << 8 |
                   std::int64_t{colour.alpha});
}

void add(Digest& digest, overlay::Stage const& stage)
{
    auto const& [display_width, display_height, raster_width, raster_height, strings, left_handed, corner, capo] =
        stage;
    for (int const number : {display_width, display_height, raster_width, raster_height, strings, int{left_handed},
                             static_cast<int>(corner), capo})
        digest.add(std::int64_t{number});
}

Answer empty() { return {204, "image/png", "", {{"Cache-Control", "private, max-age=31536000, immutable"}}, {}}; }

std::string place_text(overlay::RectPx const& at, double scale)
{
    return fmt::format("{:.6g} {:.6g} {:.6g} {:.6g}", at.x * scale, at.y * scale, at.width * scale, at.height * scale);
}

} // namespace

LayerLook layer_look(Look const& look, SizePx displayed)
{
    LayerLook layer{look.theme, look.stage, 1, {}};
    int const longer = std::max(displayed.width, displayed.height);
    layer.scale = std::max(1.0, static_cast<double>(longer) / kMostPixels);
    auto const drawn = [&](int pixels) { return std::max(1, static_cast<int>(std::lround(pixels / layer.scale))); };
    layer.stage.display_width = displayed.width;
    layer.stage.display_height = displayed.height;
    layer.stage.raster_width = drawn(displayed.width);
    layer.stage.raster_height = drawn(displayed.height);
    Digest digest;
    digest.add("layer look");
    add(digest, layer.theme);
    add(digest, layer.stage);
    layer.digest = digest.hex();
    return layer;
}

std::string LayerStore::hand_out(std::shared_ptr<LayerLook const> const& look, overlay::Layer const& layer)
{
    Digest digest;
    digest.add(look->digest);
    add(digest, overlay::Scene{{{layer.content, overlay::kFullLevel, layer.corner}}});
    std::string const name = digest.hex();
    std::scoped_lock const lock{m_mutex};
    auto const [known, is_new] = m_layers.try_emplace(name, Entry{look, layer.content, layer.corner, {}});
    if (is_new)
        known->second.use = m_uses.insert(m_uses.end(), name);
    else
        m_uses.splice(m_uses.end(), m_uses, known->second.use);
    while (m_layers.size() > kMostLayers) {
        m_layers.erase(m_uses.front());
        m_uses.pop_front();
    }
    return name;
}

std::optional<LayerStore::Entry> LayerStore::find(std::string const& digest)
{
    std::scoped_lock const lock{m_mutex};
    auto const found = m_layers.find(digest);
    return found == m_layers.end() ? std::nullopt : std::optional(found->second);
}

std::shared_ptr<LayerStore::Brush> LayerStore::brush_for(LayerLook const& look)
{
    std::scoped_lock const lock{m_mutex};
    auto const found = std::ranges::find(m_brushes, look.digest, &Brush::look);
    if (found != m_brushes.end())
        return *found;
    auto brush = std::make_shared<Brush>();
    brush->look = look.digest;
    m_brushes.push_back(brush);
    if (m_brushes.size() > kMostBrushes)
        m_brushes.pop_front();
    return brush;
}

Result<std::shared_ptr<overlay::Bitmap const>> LayerStore::painted(Entry const& entry)
{
    auto const brush = brush_for(*entry.look);
    std::scoped_lock const lock{brush->mutex};
    if (!brush->painter) {
        TRY_ASSIGN(brush->painter, overlay::Painter::create(entry.look->stage, entry.look->theme, kKeptBytes));
    }
    auto bitmap = brush->painter->paint(entry.content, entry.corner);
    if (auto const wrong = brush->painter->failure()) {
        brush->painter.reset(); // the next one may do better
        return *wrong;
    }
    return bitmap;
}

Answer LayerStore::paint(std::string const& digest)
{
    auto const entry = find(digest);
    if (!entry)
        return refusal(404, "this layer is not known; ask for the scenes again");
    auto const bitmap = painted(*entry);
    if (!bitmap)
        return refusal(bitmap.error());
    if ((*bitmap)->at.empty())
        return empty();
    Answer answer = empty();
    answer.status = 200;
    answer.body = fast_png(**bitmap);
    answer.headers.emplace_back("Tabard-Place", place_text((*bitmap)->at, entry->look->scale));
    return answer;
}

} // namespace tabard::pipeline
