#pragma once
#include "overlay/base/result.h"
#include "overlay/drawing/bitmap.h"
#include "overlay/drawing/scene.h"
#include "overlay/drawing/stage.h"
#include "overlay/drawing/theme.h"

#include <cstddef>
#include <memory>
#include <optional>

namespace tabard::overlay {

/// Draws the layers of scenes for one picture size and theme. Equal contents are drawn once and kept while memory lasts
/// (least recently used first out). Move-only; one thread at a time.
class Painter {
public:
    static constexpr std::size_t kKeptBytes = 96u << 20;

    /// `kept_bytes`: drawings are kept up to this, the latest always. Fails with invalid_input for a stage below 64
    /// pixels or above 16384 a side, or outside 3 to 8 strings.
    static Result<Painter> create(Stage stage, Theme theme, std::size_t kept_bytes = kKeptBytes);
    Painter(Painter&&) noexcept;
    Painter& operator=(Painter&&) noexcept;
    ~Painter();

    /// The layer at full opacity in raster pixels, premultiplied sRGB, cropped to what is inked: multiply by
    /// Layer::level / kFullLevel to fade. Never null; empty where nothing is to be seen. The same content gives the
    /// same pixels always. A reference may be kept as long as wanted. `corner`: another than the stage's.
    std::shared_ptr<Bitmap const> paint(LayerContent const& content, std::optional<Corner> corner = std::nullopt);

    /// What kept a drawing from coming out as it should since the painter was made: memory was short, or a font could
    /// not be read. Nothing that was painted may be used then. Errors: io.
    std::optional<Error> failure() const;

    Stage const& stage() const;

private:
    struct Impl;
    explicit Painter(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::overlay
