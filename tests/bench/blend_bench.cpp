// One 1080p picture with three overlays of the sizes that a lesson shows: chord card, next chord, strum lane.
#include "pipeline/render/blend.h"

#include <vector>

#include <benchmark/benchmark.h>

namespace tabard::pipeline {
namespace {

overlay::Bitmap card(overlay::RectPx at)
{
    overlay::Bitmap bitmap{at, {}};
    for (int i = 0; i < at.width * at.height; ++i)
        bitmap.pixels.push_back(i % 7 ? 0xf2ececec : 0x80402010);
    return bitmap;
}

void blend_three_overlays(benchmark::State& state)
{
    int const depth = static_cast<int>(state.range(0));
    int const level = static_cast<int>(state.range(1));
    PixelLayout const layout{depth, 1, 1};
    OverlayColour colour({Matrix::bt709}, depth);
    std::vector<OverlayPlanes> overlays;
    for (overlay::RectPx const at : {overlay::RectPx{96, 54, 330, 420}, {96, 500, 220, 300}, {500, 860, 920, 160}})
        overlays.push_back(make_overlay_planes(card(at), 1920, 1080, layout, colour));

    std::size_t const bytes = depth == 8 ? 1 : 2;
    std::vector<std::byte> memory(1920 * 1080 * 3 / 2 * bytes, std::byte{90});
    auto const plane = [&](std::size_t from, int width, int height) {
        return PlaneView{&memory[from * bytes], static_cast<std::ptrdiff_t>(bytes) * width, width, height};
    };
    PictureView const picture{
        {plane(0, 1920, 1080), plane(1920 * 1080, 960, 540), plane(1920 * 1080 * 5 / 4, 960, 540)}, layout};
    for (auto _ : state) {
        for (OverlayPlanes const& overlay : overlays)
            blend(picture, overlay, level);
        benchmark::ClobberMemory();
    }
}
BENCHMARK(blend_three_overlays)
    ->ArgNames({"depth", "level"})
    ->Args({8, 8})
    ->Args({8, 4})
    ->Args({10, 8})
    ->Args({10, 4})
    ->Unit(benchmark::kMicrosecond);

void convert_one_card(benchmark::State& state)
{
    OverlayColour colour({Matrix::bt709}, 8);
    overlay::Bitmap const bitmap = card({96, 54, 330, 420});
    for (auto _ : state)
        benchmark::DoNotOptimize(make_overlay_planes(bitmap, 1920, 1080, {8, 1, 1}, colour));
}
BENCHMARK(convert_one_card)->Unit(benchmark::kMicrosecond);

} // namespace
} // namespace tabard::pipeline
