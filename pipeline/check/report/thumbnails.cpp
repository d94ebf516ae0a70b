#include "pipeline/check/report/thumbnails.h"

#include "overlay/drawing/painter.h"
#include "overlay/drawing/png.h"
#include "pipeline/check/picture/light.h"
#include "pipeline/check/report/html.h"
#include "pipeline/media/read/coded_film.h"
#include "pipeline/media/read/media_reader.h"

#include <cmath>
#include <map>

namespace tabard::pipeline {
namespace {

constexpr double kLongSide = 400;
constexpr std::size_t kMost = 60;

int even(double size) { return std::max(2, 2 * static_cast<int>(std::lround(size / 2))); }

/// The stored size to read pictures at, so that they are small and have square samples when shown.
SizePx small_stored(VideoTrack const& video)
{
    double const scale = kLongSide / std::max(video.displayed.width, video.displayed.height);
    SizePx size{even(video.displayed.width * scale), even(video.displayed.height * scale)};
    if (video.orientation.quarter_turns % 2 != 0)
        std::swap(size.width, size.height);
    return size;
}

float sample(PlaneView const& plane, int x, int y, bool deep)
{
    auto const* const row = plane.data + y * plane.stride;
    return deep ? static_cast<float>(reinterpret_cast<std::uint16_t const*>(row)[x]) / 4
                : static_cast<float>(reinterpret_cast<std::uint8_t const*>(row)[x]);
}

std::uint32_t packed(Rgb colour)
{
    auto const code = [](float part) { return static_cast<std::uint32_t>(std::lround(part * 255)); };
    return 0xff000000U | code(colour.red) << 16U | code(colour.green) << 8U | code(colour.blue);
}

overlay::Bitmap upright(PictureView const& picture, VideoTrack const& video, SizePx stored)
{
    SizePx const shown = video.orientation.shown_size(stored);
    overlay::Bitmap bitmap{{0, 0, shown.width, shown.height}, {}};
    bitmap.pixels.reserve(static_cast<std::size_t>(shown.width * shown.height));
    bool const deep = picture.layout.bit_depth > 8;
    for (int y = 0; y < shown.height; ++y) {
        for (int x = 0; x < shown.width; ++x) {
            auto const [sx, sy] = video.orientation.stored_at({x, y}, stored);
            int const cx = sx >> picture.layout.chroma_shift_x;
            int const cy = sy >> picture.layout.chroma_shift_y;
            Cell const cell{sample(picture.planes[0], sx, sy, deep), sample(picture.planes[1], cx, cy, deep),
                            sample(picture.planes[2], cx, cy, deep)};
            bitmap.pixels.push_back(packed(displayed(cell, video.colour)));
        }
    }
    return bitmap;
}

/// Porter and Duff's over, for a layer that has faded in to `level`.
void lay_over(overlay::Bitmap& picture, overlay::Bitmap const& layer, int level)
{
    for (int y = 0; y < layer.at.height; ++y) {
        for (int x = 0; x < layer.at.width; ++x) {
            int const px = layer.at.x + x;
            int const py = layer.at.y + y;
            if (px < 0 || py < 0 || px >= picture.at.width || py >= picture.at.height)
                continue;
            auto const top = layer.pixels[static_cast<std::size_t>(y * layer.at.width + x)];
            auto& below = picture.pixels[static_cast<std::size_t>(py * picture.at.width + px)];
            auto const part = [](std::uint32_t pixel, unsigned shift) { return pixel >> shift & 0xffU; };
            auto const of = static_cast<std::uint32_t>(overlay::kFullLevel * 255);
            auto const alpha = part(top, 24) * static_cast<std::uint32_t>(level); // in `of`ths
            std::uint32_t mixed = 0xff000000U;
            for (unsigned const shift : {0U, 8U, 16U})
                mixed |= std::min(255U, (part(top, shift) * static_cast<std::uint32_t>(level) * 255 +
                                         part(below, shift) * (of - alpha) + of / 2) /
                                            of)
                         << shift;
            below = mixed;
        }
    }
}

} // namespace

struct Thumbnails::Impl {
    MediaReader reader;
    overlay::Painter painter;
    Timeline const& timeline;
    SizePx stored;
    std::map<Time, std::string> done;

    Result<std::string> make(Time time)
    {
        time += Time{3 * kFlicksPerSecond / 10}; // overlays that begin at this time have faded in
        TRY_VOID(reader.seek(time));
        TRY_ASSIGN(auto const picture, reader.next());
        if (!picture)
            return std::string{};
        auto bitmap = upright(picture->view(), reader.video(), stored);
        for (auto const& [content, level, corner] : timeline.scene_at(time).layers)
            lay_over(bitmap, *painter.paint(content, corner), level);
        if (auto const wrong = painter.failure())
            return *wrong;
        TRY_ASSIGN(auto const png, overlay::encode_png(bitmap));
        return "data:image/png;base64," + base64(png);
    }
};

Thumbnails::Thumbnails(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
Thumbnails::Thumbnails(Thumbnails&&) noexcept = default;
Thumbnails& Thumbnails::operator=(Thumbnails&&) noexcept = default;
Thumbnails::~Thumbnails() = default;

Result<Thumbnails> Thumbnails::open(std::filesystem::path const& footage, Timeline const& timeline,
                                    overlay::Stage const& stage, overlay::Theme const& theme, std::stop_token stop)
{
    TRY_ASSIGN(auto film, CodedFilm::open(footage, stop));
    SizePx const stored = small_stored(film.video());
    SizePx const shown = film.video().orientation.shown_size(stored);
    TRY_ASSIGN(auto reader,
               MediaReader::open(std::move(film), {.threads = 0, .scaled = stored, .stop = std::move(stop)}));
    auto small = stage;
    small.raster_width = shown.width;
    small.raster_height = shown.height;
    TRY_ASSIGN(auto painter, overlay::Painter::create(small, theme));
    return Thumbnails{std::make_unique<Impl>(Impl{std::move(reader), std::move(painter), timeline, stored, {}})};
}

std::string Thumbnails::at(Time time)
{
    if (auto const known = m_impl->done.find(time); known != m_impl->done.end())
        return known->second;
    if (m_impl->done.size() >= kMost)
        return {};
    auto made = m_impl->make(time);
    return m_impl->done[time] = made ? *std::move(made) : std::string{};
}

} // namespace tabard::pipeline
