#include "overlay/drawing/painter.h"

#include "overlay/drawing/canvas.h"
#include "overlay/drawing/cards.h"
#include "overlay/drawing/layout.h"

#include <cmath>
#include <list>
#include <map>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

constexpr double kEdgeMargin = 2; ///< display pixels round a region for the antialiased edge of its plate

std::size_t bytes(Bitmap const& bitmap) { return bitmap.pixels.size() * sizeof(std::uint32_t) + sizeof(Bitmap); }

} // namespace

struct Painter::Impl {
    using Key = std::pair<LayerContent, Corner>;
    using Recent = std::list<Key const*>;
    struct Kept {
        std::shared_ptr<Bitmap const> bitmap;
        Recent::iterator place;
    };

    Stage stage;
    Theme theme;
    std::size_t most_kept_bytes;
    std::map<Key, Kept> kept;
    Recent recent; ///< keys of `kept`, latest first
    std::size_t kept_bytes = 0;

    std::optional<Error> failure;

    Bitmap draw(LayerContent const& content, Corner corner);
    void note_failure(cairo_t& cr, Type const& type);
    void forget_oldest();
};

Bitmap Painter::Impl::draw(LayerContent const& content, Corner corner)
{
    Stage placed = stage;
    placed.corner = corner;
    Layout const layout = make_layout(placed);
    double const scale_x = static_cast<double>(stage.raster_width) / stage.display_width;
    double const scale_y = static_cast<double>(stage.raster_height) / stage.display_height;
    Box const region = region_of(content, layout).inset(-kEdgeMargin);
    int const left = static_cast<int>(std::floor(region.x * scale_x));
    int const top = static_cast<int>(std::floor(region.y * scale_y));
    RectPx const area{left, top, static_cast<int>(std::ceil(region.right() * scale_x)) - left,
                      static_cast<int>(std::ceil(region.bottom() * scale_y)) - top};
    Surface const surface{cairo_image_surface_create(CAIRO_FORMAT_ARGB32, area.width, area.height)};
    Context const cr{cairo_create(surface.get())};
    cairo_translate(cr.get(), -left, -top);
    cairo_scale(cr.get(), scale_x, scale_y);
    Type const type{*cr, theme.font};
    CardContext const context{*cr, type, theme, layout, placed};
    std::visit([&](auto const& card) { draw_card(context, card); }, content);
    note_failure(*cr, type);
    if (failure)
        return {};
    return crop_to_ink(*surface, area);
}

void Painter::Impl::note_failure(cairo_t& cr, Type const& type)
{
    if (failure)
        return;
    if (cairo_status_t const status = cairo_status(&cr); status != CAIRO_STATUS_SUCCESS)
        failure = Error{ErrorKind::io, fmt::format("an overlay cannot be drawn: {}", cairo_status_to_string(status))};
    else if (!type.fonts_were_read())
        failure = Error{ErrorKind::io, "an overlay cannot be drawn: a font file cannot be read (too many open files?)"};
}

void Painter::Impl::forget_oldest()
{
    auto const oldest = kept.find(*recent.back());
    kept_bytes -= bytes(*oldest->second.bitmap);
    recent.pop_back();
    kept.erase(oldest);
}

Painter::Painter(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
Painter::Painter(Painter&&) noexcept = default;
Painter& Painter::operator=(Painter&&) noexcept = default;
Painter::~Painter() = default;

Result<Painter> Painter::create(Stage stage, Theme theme, std::size_t kept_bytes)
{
    for (int const side : {stage.display_width, stage.display_height, stage.raster_width, stage.raster_height})
        if (side < 64 || side > 16384)
            return Error{
                ErrorKind::invalid_input,
                fmt::format("cannot draw on a picture {} pixels wide or high: 64 to 16384 are possible", side)};
    if (stage.strings < 3 || stage.strings > 8)
        return Error{ErrorKind::invalid_input,
                     fmt::format("cannot draw diagrams for {} strings: 3 to 8 are possible", stage.strings)};
    return Painter{std::make_unique<Impl>(Impl{stage, std::move(theme), kept_bytes, {}, {}, 0, {}})};
}

std::shared_ptr<Bitmap const> Painter::paint(LayerContent const& content, std::optional<Corner> corner)
{
    Impl& impl = *m_impl;
    Impl::Key key{content, corner.value_or(impl.stage.corner)};
    if (auto const known = impl.kept.find(key); known != impl.kept.end()) {
        impl.recent.splice(impl.recent.begin(), impl.recent, known->second.place);
        return known->second.bitmap;
    }
    auto const bitmap = std::make_shared<Bitmap const>(impl.draw(content, key.second));
    auto const [entry, is_new] = impl.kept.emplace(std::move(key), Impl::Kept{bitmap, {}});
    impl.recent.push_front(&entry->first);
    entry->second.place = impl.recent.begin();
    impl.kept_bytes += bytes(*bitmap);
    while (impl.kept_bytes > impl.most_kept_bytes && impl.recent.size() > 1)
        impl.forget_oldest();
    return bitmap;
}

std::optional<Error> Painter::failure() const { return m_impl->failure; }

Stage const& Painter::stage() const { return m_impl->stage; }

} // namespace tabard::overlay
