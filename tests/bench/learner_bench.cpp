#include "overlay/music/names/chord_name.h"
#include "overlay/music/shapes/shape_search.h"
#include "overlay/sheet/sheet.h"
#include "tests/overlay/sheet/samples.h"

#include <string>

#include <benchmark/benchmark.h>

// What a learner waits for: a shape (aim: under 5 ms of processor time) and a sheet (200 parts: under a second).
namespace tabard::overlay {
namespace {

void find_shapes_of_a_name(benchmark::State& state)
{
    Tuning const tuning;
    for (auto _ : state)
        for (auto const* name : {"C", "F#m7b5", "Bb13", "D/F#", "Cadd9", "C7alt", "Gm11", "Ebmaj13", "A7sus4", "C5"})
            benchmark::DoNotOptimize(find_shapes(*ChordName::parse(name), tuning));
    state.SetItemsProcessed(10 * state.iterations());
}
BENCHMARK(find_shapes_of_a_name)->Unit(benchmark::kMillisecond);

void draw_a_long_sheet(benchmark::State& state)
{
    auto model = samples::lantern_sheet();
    auto const verse = model.parts.front();
    model.parts.clear();
    for (int i = 1; i <= state.range(0); ++i) {
        model.parts.push_back(verse);
        model.parts.back().name = "Part " + std::to_string(i);
    }
    for (auto _ : state)
        benchmark::DoNotOptimize(draw_sheet(model, {}, SheetFormat::pdf));
}
BENCHMARK(draw_a_long_sheet)->Arg(200)->Unit(benchmark::kMillisecond);

} // namespace
} // namespace tabard::overlay
