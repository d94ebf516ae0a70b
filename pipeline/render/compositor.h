#pragma once
#include "overlay/base/result.h"
#include "overlay/drawing/painter.h"
#include "overlay/drawing/scene.h"
#include "pipeline/media/media_info.h"
#include "pipeline/render/overlay_planes.h"

#include <memory>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// The layers of one scene, ready for blending, back to front. Copies share the planes.
class SceneOverlay {
public:
    struct Layer {
        std::shared_ptr<OverlayPlanes const> planes;
        int level;
    };
    explicit SceneOverlay(std::vector<Layer> layers = {}) : m_layers(std::move(layers)) {}

    /// Lays the scene over a stored picture of the footage, in place; allocates nothing.
    void blend_onto(PictureView const& picture) const noexcept;
    std::vector<Layer> const& layers() const { return m_layers; }

private:
    std::vector<Layer> m_layers;
};

/// How the overlays look, besides their contents.
struct Look {
    overlay::Theme theme;
    overlay::Stage stage{}; ///< all but its sizes, which are the footage's
};

/// The stage for footage: laid out in what a viewer sees, drawn in upright stored pixels.
overlay::Stage stage_for(VideoTrack const& video, Look const& look);

/// Draws scenes for one film and turns them into planes for its stored pictures, once for each layer (kept while memory
/// lasts, least recently used first out). May be asked from several threads.
class Compositor {
public:
    /// Errors: as Painter::create().
    static Result<Compositor> create(VideoTrack const& video, Look const& look);
    Compositor(Compositor&&) noexcept;
    Compositor& operator=(Compositor&&) noexcept;
    ~Compositor();

    SceneOverlay prepare(overlay::Scene const& scene);
    /// As Painter::failure().
    std::optional<Error> failure() const;

private:
    struct Impl;
    explicit Compositor(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
