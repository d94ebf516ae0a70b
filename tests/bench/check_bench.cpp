#include "pipeline/check/checker.h"
#include "pipeline/cues/reader.h"

#include <string>
#include <utility>

#include <benchmark/benchmark.h>
#include <fmt/format.h>

// A lesson of 2,000 cues, from its text to its findings, without pictures and sound.
namespace tabard::pipeline {
namespace {

std::string long_lesson(int cues)
{
    static constexpr char const* kChords[] = {"C", "G/B", "Am7", "Fmaj7", "Em", "Dm7", "G", "E7"};
    std::string sections;
    for (int section = 0; section * 10 < cues; ++section) {
        sections += fmt::format("{}{{\"name\": \"Part {}\", \"from\": {}, \"strum\": \"plain\", \"bars\": \"",
                                section ? ",\n" : "", section, section * 30);
        for (int bar = 0; bar < 5; ++bar)
            sections += fmt::format("{}{} / {} /", bar ? " | " : "", kChords[(section + bar) % 8],
                                    kChords[(section + bar + 3) % 8]);
        sections += "\"}";
    }
    return fmt::format(R"({{"tabard": 1, "title": "Long", "footage": "f.mp4", "key": "C", "tempo": 60,
"shapes": {{"G/B": "x20003"}}, "strums": {{"plain": "D - D U - U D U"}}, "sections": [{}]}})",
                       sections);
}

void check_cues(benchmark::State& state)
{
    std::string const text = long_lesson(static_cast<int>(state.range(0)));
    FilmFacts film;
    film.media = {Time{0}, Time{100'000 * kFlicksPerSecond}, {25, 1}};
    for (auto _ : state) {
        LessonReading reading = parse_lesson(text, "long.json");
        auto const timeline = Timeline::resolve(*reading.lesson, film.media);
        auto const result = check_lesson({*reading.lesson, timeline, &film}, std::move(reading.findings));
        if (result.errors + result.warnings > 0)
            state.SkipWithError(result.findings.front().finding.what.c_str());
        benchmark::DoNotOptimize(result);
    }
}
BENCHMARK(check_cues)->Arg(2000)->Unit(benchmark::kMillisecond);

} // namespace
} // namespace tabard::pipeline
