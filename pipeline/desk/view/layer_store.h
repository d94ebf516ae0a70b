#pragma once
#include "overlay/drawing/bitmap.h"
#include "overlay/drawing/painter.h"
#include "pipeline/desk/server/exchange.h"
#include "pipeline/media/picture.h"
#include "pipeline/render/compositor.h"

#include <cstdint>
#include <list>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <utility>

namespace tabard::pipeline {

/// How layers are drawn for the page: as the film's, but never with more pixels than a page has use for.
struct LayerLook {
    overlay::Theme theme;
    overlay::Stage stage;
    double scale = 1; ///< displayed pixels of the film for one that is drawn
    std::string digest;
};
LayerLook layer_look(Look const& look, SizePx displayed);

/// Layers that were handed out by a digest of all that makes them look as they do, painted when they are asked for.
/// Thread-safe. Memory is bounded: of layers handed out long ago nothing is known any more.
class LayerStore {
public:
    /// The digest of a layer at its full level.
    std::string hand_out(std::shared_ptr<LayerLook const> const& look, overlay::Layer const& layer);
    /// `layer/DIGEST`: a PNG, 204 for an empty one, 404 for one that is not known (any more).
    Answer paint(std::string const& digest);

private:
    struct Entry {
        std::shared_ptr<LayerLook const> look;
        overlay::LayerContent content;
        std::optional<overlay::Corner> corner;
        std::list<std::string>::iterator use; ///< in m_uses
    };
    /// One for each look: it draws with fonts that take a while to open.
    struct Brush {
        std::string look;
        std::optional<overlay::Painter> painter;
        std::mutex mutex;
    };
    std::optional<Entry> find(std::string const& digest);
    std::shared_ptr<Brush> brush_for(LayerLook const& look);
    Result<std::shared_ptr<overlay::Bitmap const>> painted(Entry const& entry);

    std::mutex m_mutex; // guards all below, never held while something is drawn
    std::map<std::string, Entry> m_layers;
    std::list<std::string> m_uses;               ///< digests, the least recently used first
    std::list<std::shared_ptr<Brush>> m_brushes; ///< the latest last
};

} // namespace tabard::pipeline
