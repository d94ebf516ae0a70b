#include "pipeline/render/still.h"

#include "pipeline/media/read/media_reader.h"

#include <algorithm>
#include <cmath>
#include <cstring>

namespace tabard::pipeline {
namespace {

// One plane read between its samples, their centres at whole numbers; held at the edges.
class PlaneSampler {
public:
    PlaneSampler(PlaneView const& plane, bool wide) : m_plane(plane), m_wide(wide) {}

    double at(double x, double y) const
    {
        x = std::clamp(x, 0.0, m_plane.width - 1.0);
        y = std::clamp(y, 0.0, m_plane.height - 1.0);
        int const left = static_cast<int>(x);
        int const top = static_cast<int>(y);
        int const right = std::min(left + 1, m_plane.width - 1);
        int const bottom = std::min(top + 1, m_plane.height - 1);
        double const across = x - left;
        double const down = y - top;
        double const upper = sample(left, top) * (1 - across) + sample(right, top) * across;
        double const lower = sample(left, bottom) * (1 - across) + sample(right, bottom) * across;
        return upper * (1 - down) + lower * down;
    }

private:
    double sample(int x, int y) const
    {
        std::byte const* const row = m_plane.data + y * m_plane.stride;
        return m_wide ? reinterpret_cast<std::uint16_t const*>(row)[x] : static_cast<std::uint8_t>(row[x]);
    }

    PlaneView m_plane;
    bool m_wide;
};

std::uint32_t opaque_pixel(std::array<double, 3> const& srgb)
{
    auto const code = [](double v) { return static_cast<std::uint32_t>(std::lround(v * 255)); };
    return 0xff000000u | code(srgb[0]) << 16 | code(srgb[1]) << 8 | code(srgb[2]);
}

// Where the middle of shown pixel `at` of `count` lies among `samples` samples of the same length.
double position(int at, int count, int samples) { return (at + 0.5) * samples / count - 0.5; }

// The picture at `at`; a reader that was sent behind the end gives none, then the last one is looked for.
Result<DecodedPicture> picture_at(MediaReader& reader, Time at)
{
    TRY_VOID(reader.seek(at + kOnScreenSlack));
    TRY_ASSIGN(auto picture, reader.next());
    if (picture)
        return *std::move(picture);
    VideoTrack const& video = reader.video();
    TRY_VOID(reader.seek(std::max(video.start, video.start + video.duration - from_seconds(1))));
    while (true) {
        TRY_ASSIGN(auto next, reader.next());
        if (!next)
            break;
        picture = std::move(next);
    }
    if (!picture)
        return Error{ErrorKind::decode, "no frame could be read at this time"};
    return *std::move(picture);
}

} // namespace

overlay::Bitmap to_displayed_bitmap(PictureView const& picture, VideoTrack const& video)
{
    bool const wide = picture.layout.bit_depth > 8;
    PlaneSampler const luma(picture.planes[0], wide), blue(picture.planes[1], wide), red(picture.planes[2], wide);
    SizePx const size = video.displayed;
    SizePx const unturned = video.orientation.quarter_turns % 2 == 0 ? size : SizePx{size.height, size.width};
    overlay::Bitmap bitmap{{0, 0, size.width, size.height}, {}};
    bitmap.pixels.reserve(static_cast<std::size_t>(size.width) * static_cast<std::size_t>(size.height));
    for (int y = 0; y < size.height; ++y) {
        for (int x = 0; x < size.width; ++x) {
            PointPx const at = video.orientation.stored_at({x, y}, unturned);
            auto const sampled = [&](PlaneSampler const& sampler, PlaneView const& plane) {
                return sampler.at(position(at.x, unturned.width, plane.width),
                                  position(at.y, unturned.height, plane.height));
            };
            YCbCr const samples = {sampled(luma, picture.planes[0]), sampled(blue, picture.planes[1]),
                                   sampled(red, picture.planes[2])};
            bitmap.pixels.push_back(opaque_pixel(to_srgb(samples, video.colour, picture.layout.bit_depth)));
        }
    }
    return bitmap;
}

Result<Still> render_still(std::filesystem::path const& footage, Time at, SceneRuns const& runs, Look const& look,
                           std::stop_token stop)
{
    ReadOptions reading;
    reading.stop = std::move(stop);
    TRY_ASSIGN(MediaReader reader, MediaReader::open(footage, reading));
    TRY_ASSIGN(Compositor compositor, Compositor::create(reader.video(), look));
    TRY_ASSIGN(DecodedPicture picture, picture_at(reader, at));
    Time from = picture.time();
    Time until = from + picture.duration();
    for (Time const repeat : runs.repeats(from, until)) {
        if (repeat > at + kOnScreenSlack) {
            until = repeat;
            break;
        }
        from = repeat;
    }
    if (SceneRun const* const run = runs.on_picture(from, until))
        compositor.prepare(run->scene).blend_onto(picture.writable());
    if (auto const wrong = compositor.failure())
        return *wrong;
    return Still{to_displayed_bitmap(picture.view(), reader.video()), picture.time()};
}

} // namespace tabard::pipeline
