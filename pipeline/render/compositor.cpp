#include "pipeline/render/compositor.h"

#include "pipeline/render/blend.h"
#include "pipeline/render/orient.h"

#include <algorithm>
#include <map>
#include <mutex>

namespace tabard::pipeline {

void SceneOverlay::blend_onto(PictureView const& picture) const noexcept
{
    for (Layer const& layer : m_layers)
        blend(picture, *layer.planes, layer.level);
}

overlay::Stage stage_for(VideoTrack const& video, Look const& look)
{
    SizePx const raster = video.orientation.shown_size(video.stored);
    overlay::Stage stage = look.stage;
    stage.display_width = video.displayed.width;
    stage.display_height = video.displayed.height;
    stage.raster_width = raster.width;
    stage.raster_height = raster.height;
    return stage;
}

struct Compositor::Impl {
    using Key = std::pair<overlay::LayerContent, std::optional<overlay::Corner>>;
    struct Kept {
        std::shared_ptr<OverlayPlanes const> planes;
        std::uint64_t last_used = 0;
    };
    // For each pixel of the picture: a bar of a strum lane with every step lit once.
    static constexpr std::size_t kMostKeptBytesPerPixel = 12;

    Impl(VideoTrack track, overlay::Painter painter_)
        : video(std::move(track)),
          painter(std::move(painter_)),
          colour(video.colour, video.layout.bit_depth),
          most_kept_bytes(kMostKeptBytesPerPixel * static_cast<std::size_t>(video.stored.width) *
                          static_cast<std::size_t>(video.stored.height))
    {
    }

    std::shared_ptr<OverlayPlanes const> planes_for(overlay::Layer const& layer);
    void forget_oldest();

    VideoTrack video;
    overlay::Painter painter;
    OverlayColour colour;
    std::map<Key, Kept> kept;
    std::size_t kept_bytes = 0;
    std::size_t most_kept_bytes;
    std::uint64_t clock = 0;
    std::mutex mutex; // guards all above
};

std::shared_ptr<OverlayPlanes const> Compositor::Impl::planes_for(overlay::Layer const& layer)
{
    Key key{layer.content, layer.corner};
    if (auto const known = kept.find(key); known != kept.end()) {
        known->second.last_used = ++clock;
        return known->second.planes;
    }
    overlay::Bitmap const stored =
        orient_to_stored(*painter.paint(layer.content, layer.corner), video.orientation, video.stored);
    auto planes = std::make_shared<OverlayPlanes const>(
        make_overlay_planes(stored, video.stored.width, video.stored.height, video.layout, colour));
    kept.emplace(std::move(key), Kept{planes, ++clock}); // last of all that can throw: nothing half made is kept
    kept_bytes += planes->bytes();
    while (kept_bytes > most_kept_bytes && kept.size() > 1)
        forget_oldest();
    return planes;
}

void Compositor::Impl::forget_oldest()
{
    auto const oldest = std::min_element(
        kept.begin(), kept.end(), [](auto const& a, auto const& b) { return a.second.last_used < b.second.last_used; });
    kept_bytes -= oldest->second.planes->bytes();
    kept.erase(oldest);
}

Compositor::Compositor(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
Compositor::Compositor(Compositor&&) noexcept = default;
Compositor& Compositor::operator=(Compositor&&) noexcept = default;
Compositor::~Compositor() = default;

Result<Compositor> Compositor::create(VideoTrack const& video, Look const& look)
{
    TRY_ASSIGN(overlay::Painter painter, overlay::Painter::create(stage_for(video, look), look.theme));
    return Compositor(std::make_unique<Impl>(video, std::move(painter)));
}

SceneOverlay Compositor::prepare(overlay::Scene const& scene)
{
    std::lock_guard const lock(m_impl->mutex);
    std::vector<SceneOverlay::Layer> layers;
    for (overlay::Layer const& layer : scene.layers)
        if (auto planes = m_impl->planes_for(layer); !planes->empty())
            layers.push_back({std::move(planes), layer.level});
    return SceneOverlay(std::move(layers));
}

std::optional<Error> Compositor::failure() const
{
    std::lock_guard const lock(m_impl->mutex);
    return m_impl->painter.failure();
}

} // namespace tabard::pipeline
