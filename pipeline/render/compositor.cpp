#include "pipeline/render/compositor.h"

#include "pipeline/machine/spares.h"
#include "pipeline/render/blend.h"
#include "pipeline/render/orient.h"

#include <algorithm>
#include <cstdint>
#include <future>
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
    using Planes = std::shared_ptr<OverlayPlanes const>;
    struct Kept {
        std::shared_future<Planes> planes; ///< ready, or being made by another thread
        std::size_t bytes = 0;             ///< none while they are being made
        std::uint64_t last_used = 0;
    };
    /// What one thread draws with.
    struct Tools {
        overlay::Painter painter;
        OverlayColour colour;
    };
    // For each pixel of the picture: a bar of a strum lane with every step lit once.
    static constexpr std::size_t kMostKeptBytesPerPixel = 12;

    Impl(VideoTrack track, overlay::Stage stage_, overlay::Theme theme_)
        : video(std::move(track)),
          stage(std::move(stage_)),
          theme(std::move(theme_)),
          most_kept_bytes(kMostKeptBytesPerPixel * static_cast<std::size_t>(video.stored.width) *
                          static_cast<std::size_t>(video.stored.height))
    {
    }

    std::shared_future<Planes> planes_for(overlay::Layer const& layer);
    Planes make(overlay::Layer const& layer);
    Result<Tools> take_tools();
    void give_back(Tools tools);
    void keep(Key const& key, std::size_t bytes);

    VideoTrack const video;
    overlay::Stage const stage;
    overlay::Theme const theme;
    std::size_t const most_kept_bytes;
    Spares<Tools> tools; ///< one for each thread: none waits for the drawings of another, unless it wants the same
    std::map<Key, Kept> kept;
    std::size_t kept_bytes = 0;
    std::uint64_t clock = 0;
    std::optional<Error> failure;
    std::mutex mutex; // guards `kept` and what follows it
};

Result<Compositor::Impl::Tools> Compositor::Impl::take_tools()
{
    return tools.take([this]() -> Result<Tools> {
        TRY_ASSIGN(auto painter, overlay::Painter::create(stage, theme, 0)); // the planes are kept, here
        return Tools{std::move(painter), OverlayColour(video.colour, video.layout.bit_depth)};
    });
}

void Compositor::Impl::give_back(Tools used)
{
    {
        std::lock_guard const lock(mutex);
        if (!failure)
            failure = used.painter.failure();
    }
    tools.give_back(std::move(used));
}

Compositor::Impl::Planes Compositor::Impl::make(overlay::Layer const& layer)
{
    auto taken = take_tools();
    if (!taken) { // although others like them were made before
        std::lock_guard const lock(mutex);
        failure = taken.error();
        return std::make_shared<OverlayPlanes const>();
    }
    overlay::Bitmap const stored =
        orient_to_stored(*taken->painter.paint(layer.content, layer.corner), video.orientation, video.stored);
    auto planes = std::make_shared<OverlayPlanes const>(
        make_overlay_planes(stored, video.stored.width, video.stored.height, video.layout, taken->colour));
    give_back(*std::move(taken));
    return planes;
}

// The least recently used go first; what is being made stays.
void Compositor::Impl::keep(Key const& key, std::size_t bytes)
{
    std::lock_guard const lock(mutex);
    kept[key].bytes = bytes;
    kept_bytes += bytes;
    auto const age = [](auto const& entry) { return entry.second.bytes > 0 ? entry.second.last_used : UINT64_MAX; };
    while (kept_bytes > most_kept_bytes && kept.size() > 1) {
        auto const oldest = std::ranges::min_element(kept, {}, age);
        if (oldest->second.bytes == 0)
            return;
        kept_bytes -= oldest->second.bytes;
        kept.erase(oldest);
    }
}

std::shared_future<Compositor::Impl::Planes> Compositor::Impl::planes_for(overlay::Layer const& layer)
{
    Key const key{layer.content, layer.corner};
    std::promise<Planes> promise;
    std::shared_future<Planes> const coming = promise.get_future().share();
    {
        std::lock_guard const lock(mutex);
        auto const [place, is_new] = kept.try_emplace(key);
        place->second.last_used = ++clock;
        if (!is_new)
            return place->second.planes;
        place->second.planes = coming;
    }
    try {
        Planes planes = make(layer);
        std::size_t const bytes = sizeof(Kept) + planes->bytes();
        promise.set_value(std::move(planes));
        keep(key, bytes);
    } catch (...) { // nothing half made is kept
        std::lock_guard const lock(mutex);
        kept.erase(key);
        promise.set_exception(std::current_exception());
        throw;
    }
    return coming;
}

Compositor::Compositor(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
Compositor::Compositor(Compositor&&) noexcept = default;
Compositor& Compositor::operator=(Compositor&&) noexcept = default;
Compositor::~Compositor() = default;

Result<Compositor> Compositor::create(VideoTrack const& video, Look const& look)
{
    auto impl = std::make_unique<Impl>(video, stage_for(video, look), look.theme);
    TRY_ASSIGN(Impl::Tools first, impl->take_tools());
    impl->give_back(std::move(first));
    return Compositor(std::move(impl));
}

SceneOverlay Compositor::prepare(overlay::Scene const& scene)
{
    // What this thread begins it ends before it waits for others: no two threads wait for each other.
    std::vector<std::shared_future<Impl::Planes>> coming;
    for (overlay::Layer const& layer : scene.layers)
        coming.push_back(m_impl->planes_for(layer));
    std::vector<SceneOverlay::Layer> layers;
    for (std::size_t i = 0; i < coming.size(); ++i)
        if (auto const& planes = coming[i].get(); !planes->empty())
            layers.push_back({planes, scene.layers[i].level});
    return SceneOverlay(std::move(layers));
}

std::optional<Error> Compositor::failure() const
{
    std::lock_guard const lock(m_impl->mutex);
    return m_impl->failure;
}

} // namespace tabard::pipeline
