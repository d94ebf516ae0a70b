#include "pipeline/cues/reader.h"
#include "pipeline/retime/edl_cut.h"
#include "pipeline/retime/retime.h"
#include "pipeline/time/timecode.h"

#include <string>

#include <benchmark/benchmark.h>
#include <fmt/format.h>

// A long cut against a long lesson: 10,000 events and 10,000 cues, target under a second from text to text.
namespace tabard::pipeline {
namespace {

constexpr int kMany = 10'000;
constexpr FrameRate kRate{25, 1};

/// Two seconds kept of every three, in order.
std::string edit_list()
{
    std::string text = "TITLE: LONG\nFCM: NON-DROP FRAME\n";
    for (int i = 0; i < kMany; ++i) {
        auto const label = [](std::int64_t frame) { return timecode_label(frame, {kRate, false}); };
        std::int64_t const from = 75 * i;
        std::int64_t const at = 50 * i;
        text += fmt::format("{:06}  LANTERN V C {} {} {} {}\n", i + 1, label(from), label(from + 50), label(at),
                            label(at + 50));
    }
    return text;
}

/// A chord every three seconds, all in one section or in sections of ten.
std::string lesson(int cues_in_section)
{
    std::string text = R"({"tabard": 1, "title": "t", "footage": "lantern.mp4", "sections": [)";
    for (int i = 0; i < kMany; ++i) {
        if (i % cues_in_section == 0)
            text += fmt::format("{}\n{{\"name\": \"part\", \"from\": {}, \"show\": [", i > 0 ? "]}," : "", 3 * i);
        else
            text += ",";
        text += fmt::format("\n{{\"chord\": \"{}\", \"from\": {}.5}}", i % 2 ? "C" : "Am", 3 * i);
    }
    return text + "]}]}\n";
}

void retime_many(benchmark::State& state)
{
    std::string const list = edit_list();
    std::string const text = lesson(static_cast<int>(state.range(0)));
    CutOptions options;
    options.rate = kRate;
    for (auto _ : state) {
        auto const cut = parse_edl_cut(list, options);
        auto const document = parse_document(text);
        auto const reading = parse_lesson(text, "lesson.json");
        Timeline const timeline = Timeline::resolve(*reading.lesson, {Time{0}, from_ticks(3 * kMany, 1, 1), kRate});
        Retimed const retimed = retime(*document, *reading.lesson, timeline, cut->map);
        state.counters["cues"] = static_cast<double>(retimed.report.cues.size());
        state.counters["pieces"] = static_cast<double>(cut->map.spans().size());
        benchmark::DoNotOptimize(retimed.document.members.data());
    }
}
BENCHMARK(retime_many)->Arg(10)->Arg(kMany)->Unit(benchmark::kMillisecond);

} // namespace
} // namespace tabard::pipeline
