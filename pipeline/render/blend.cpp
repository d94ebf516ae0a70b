// Always compiled with -O3: the inner loop is written to become 16-bit lanes, eight of SSE2 or sixteen of AVX2 (see
// CMakeLists.txt).
#include "pipeline/render/blend.h"

#include "overlay/base/precondition.h"

namespace tabard::pipeline {
namespace {

using overlay::kFullLevel;

// All in 16-bit fractions. The two sums may pass through negative values modulo 2^16; the result is in range because a
// premultiplied colour is never larger than its alpha allows.
template <class Sample, int kShift, bool kFading>
[[gnu::always_inline]] inline void blend_row(Sample* __restrict to, std::uint16_t const* __restrict colour,
                                             std::uint16_t const* __restrict alpha, int count, std::uint16_t level)
{
    constexpr std::uint16_t kHalf = 1u << (kShift - 1);
    for (int i = 0; i < count; ++i) {
        std::uint16_t c = colour[i];
        std::uint16_t a = alpha[i];
        if constexpr (kFading) {
            c = static_cast<std::uint16_t>((c / kFullLevel) * level);
            a = static_cast<std::uint16_t>((a / kFullLevel) * level);
        }
        auto const under = static_cast<std::uint16_t>(to[i] << kShift);
        auto const covered = static_cast<std::uint16_t>((std::uint32_t{under} * a) >> 16);
        auto const over = static_cast<std::uint16_t>(under - covered + c + kHalf);
        to[i] = static_cast<Sample>(over >> kShift);
    }
}

template <class Sample, int kShift>
[[gnu::always_inline]] inline void blend_plane(PlaneView const& plane, overlay::RectPx at,
                                               std::vector<std::uint16_t> const& colour,
                                               std::vector<std::uint16_t> const& alpha, int level)
{
    for (int y = 0; y < at.height; ++y) {
        auto* const row = reinterpret_cast<Sample*>(plane.data + (at.y + y) * plane.stride) + at.x;
        auto const from = static_cast<std::size_t>(y) * static_cast<std::size_t>(at.width);
        if (level == kFullLevel)
            blend_row<Sample, kShift, false>(row, &colour[from], &alpha[from], at.width, kFullLevel);
        else
            blend_row<Sample, kShift, true>(row, &colour[from], &alpha[from], at.width,
                                            static_cast<std::uint16_t>(level));
    }
}

template <class Sample, int kShift>
[[gnu::always_inline]] inline void blend_planes(PictureView const& picture, OverlayPlanes const& overlay, int level)
{
    blend_plane<Sample, kShift>(picture.planes[0], overlay.luma_at, overlay.luma, overlay.luma_alpha, level);
    blend_plane<Sample, kShift>(picture.planes[1], overlay.chroma_at, overlay.blue, overlay.chroma_alpha, level);
    blend_plane<Sample, kShift>(picture.planes[2], overlay.chroma_at, overlay.red, overlay.chroma_alpha, level);
}

[[gnu::always_inline]] inline void blend_any(PictureView const& picture, OverlayPlanes const& overlay, int level)
{
    if (picture.layout.bit_depth == 8)
        blend_planes<std::uint8_t, 8>(picture, overlay, level);
    else
        blend_planes<std::uint16_t, 6>(picture, overlay, level);
}

// The same loops twice, for what every processor of its kind has and for what most have.
void blend_narrow(PictureView const& picture, OverlayPlanes const& overlay, int level)
{
    blend_any(picture, overlay, level);
}
#if defined(__x86_64__)
[[gnu::target("avx2")]] void blend_wide(PictureView const& picture, OverlayPlanes const& overlay, int level)
{
    blend_any(picture, overlay, level);
}
bool can_blend_wide() { return __builtin_cpu_supports("avx2") != 0; }
#else
constexpr auto blend_wide = blend_narrow;
bool can_blend_wide() { return false; }
#endif

bool fits(overlay::RectPx at, PlaneView const& plane)
{
    return at.x >= 0 && at.y >= 0 && at.x + at.width <= plane.width && at.y + at.height <= plane.height;
}

} // namespace

void blend(PictureView const& picture, OverlayPlanes const& overlay, int level) noexcept
{
    if (overlay.empty() || level == 0)
        return;
    PRECONDITION(level > 0 && level <= kFullLevel);
    PRECONDITION(picture.layout == overlay.layout);
    PRECONDITION(fits(overlay.luma_at, picture.planes[0]) && fits(overlay.chroma_at, picture.planes[1]) &&
                 fits(overlay.chroma_at, picture.planes[2]));
    static bool const wide = can_blend_wide();
    (wide ? blend_wide : blend_narrow)(picture, overlay, level);
}

} // namespace tabard::pipeline
