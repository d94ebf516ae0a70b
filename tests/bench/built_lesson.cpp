// Builds the sound of a lesson whose truth is known, parts that are played with talk between them:
//   built_lesson FOLDER [--minutes M] [--seed N] [--noodle]
// writes FOLDER/sound.wav and FOLDER/truth.json: of each part its chart as a cue file has it, the tempo, when its first
// and last beats are, and when each change of chord is struck. --noodle: single notes are played under the talk too.
#include "tests/support/performance/conditions.h"
#include "tests/support/performance/room.h"

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::tests {
namespace {

struct Options {
    std::filesystem::path folder = ".";
    double minutes = 10;
    std::uint32_t seed = 700'000; ///< neither one that settings were tuned on nor one of listen_bench
    bool noodle = false;
};

Options read_options(int count, char** words)
{
    Options options;
    for (int n = 1; n < count; ++n) {
        std::string_view const word = words[n];
        auto const next = [&] { return n + 1 < count ? words[++n] : ""; };
        if (word == "--minutes")
            options.minutes = std::atof(next());
        else if (word == "--seed")
            options.seed = static_cast<std::uint32_t>(std::atoi(next()));
        else if (word == "--noodle")
            options.noodle = true;
        else
            options.folder = word;
    }
    return options;
}

/// As many parts as fill the time.
Condition lesson_of(Options const& options)
{
    Condition lesson{.name = "lesson",
                     .manner = {.parts = 1, .gap = 12, .noodle = options.noodle},
                     .reverb_seconds = 0.4,
                     .talk_between = true};
    while (build_performance(lesson.manner, options.seed).seconds < 60 * options.minutes)
        ++lesson.manner.parts;
    return lesson;
}

std::string truth_of(Performance const& played)
{
    std::string text = "{\"parts\": [";
    for (std::size_t part = 0; part < played.parts.size(); ++part) {
        std::vector<double> strokes;
        for (std::size_t span = 0; span < played.parts[part].span_starts.size(); ++span)
            if (played.chart[part].changes(span))
                strokes.push_back(played.parts[part].span_starts[span]);
        text += fmt::format(
            "{}\n{{\"bars\": \"{}\", \"tempo\": {:.1f}, \"from\": {:.3f}, \"to\": {:.3f}, \"strokes\": [{:.4f}]}}",
            part == 0 ? "" : ",", played.bars[part], 60 / played.chart[part].beat_seconds,
            played.parts[part].beats.front(), played.parts[part].beats.back(), fmt::join(strokes, ", "));
    }
    return text + "]}\n";
}

} // namespace
} // namespace tabard::tests

int main(int count, char** words)
{
    using namespace tabard::tests;
    auto const options = read_options(count, words);
    auto guitar = sound_font_notes("/usr/share/sounds/sf2/TimGM6mb.sf2", 25, "steel");
    if (!guitar) {
        fmt::print(stderr, "built_lesson: install timgm6mb-soundfont\n");
        return 1;
    }
    auto const take = perform(lesson_of(options), *guitar, options.seed);
    std::filesystem::create_directories(options.folder);
    write_wav(options.folder / "sound.wav", take.sound, kSampleRate);
    std::ofstream(options.folder / "truth.json") << truth_of(take.played);
    return 0;
}
