#include "pipeline/check/film_facts.h"
#include "tests/support/run_program.h"

#include <cmath>
#include <cstdint>
#include <numbers>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

constexpr int kRate = 48'000;

/// A stretch of a 1 kHz sine in both channels.
struct Tone {
    double peak_dbfs;
    double seconds;
};

void append(std::string& out, std::uint32_t value, int bytes)
{
    for (int i = 0; i < bytes; ++i)
        out += static_cast<char>(value >> (8 * i) & 0xFF);
}

/// A 16-bit stereo WAVE file.
std::string wave_file(std::vector<Tone> const& tones)
{
    std::string samples;
    for (Tone const& tone : tones) {
        double const peak = std::pow(10, tone.peak_dbfs / 20) * 32767;
        for (int i = 0; i < static_cast<int>(tone.seconds * kRate); ++i) {
            auto const sample =
                static_cast<std::int16_t>(std::lround(peak * std::sin(2 * std::numbers::pi * 1000 * i / kRate)));
            append(samples, static_cast<std::uint16_t>(sample), 2);
            append(samples, static_cast<std::uint16_t>(sample), 2);
        }
    }
    std::string file = "RIFF";
    append(file, static_cast<std::uint32_t>(36 + samples.size()), 4);
    file += "WAVEfmt ";
    append(file, 16, 4);
    append(file, 1, 2);
    append(file, 2, 2);
    append(file, kRate, 4);
    append(file, kRate * 4, 4);
    append(file, 4, 2);
    append(file, 16, 2);
    file += "data";
    append(file, static_cast<std::uint32_t>(samples.size()), 4);
    return file + samples;
}

double measured(std::vector<Tone> const& tones)
{
    tests::TemporaryFolder const folder;
    tests::write_text(folder / "tone.wav", wave_file(tones));
    auto const loudness = measure_loudness(folder / "tone.wav");
    return loudness && *loudness ? (*loudness)->integrated_lufs : 0;
}

// EBU Tech 3341, minimum requirements test signals 1 to 5 (1 kHz stereo sine): -23.0, -33.0, and for 3, 4 and 5 again
// -23.0 LUFS, each within 0.1.
TEST(Loudness, MeasuresTheTestSignalsOfTech3341)
{
    EXPECT_NEAR(measured({{-23, 20}}), -23.0, 0.1);
    EXPECT_NEAR(measured({{-33, 20}}), -33.0, 0.1);
    EXPECT_NEAR(measured({{-36, 10}, {-23, 60}, {-36, 10}}), -23.0, 0.1);
    EXPECT_NEAR(measured({{-72, 10}, {-36, 10}, {-23, 60}, {-36, 10}, {-72, 10}}), -23.0, 0.1);
    EXPECT_NEAR(measured({{-26, 20}, {-20, 20.1}, {-26, 20}}), -23.0, 0.1);
}

TEST(Loudness, HasTheTruePeakOfASine)
{
    tests::TemporaryFolder const folder;
    tests::write_text(folder / "tone.wav", wave_file({{-6, 3}}));
    EXPECT_NEAR(measure_loudness(folder / "tone.wav").value()->true_peak_dbtp, -6.0, 0.2);
}

TEST(Loudness, SilenceHasNone)
{
    tests::TemporaryFolder const folder;
    tests::write_text(folder / "silence.wav", wave_file({{-200, 2}}));
    auto const loudness = measure_loudness(folder / "silence.wav");
    ASSERT_TRUE(loudness);
    EXPECT_FALSE(*loudness);
    EXPECT_FALSE(measure_loudness(folder / "missing.wav"));
}

} // namespace
} // namespace tabard::pipeline
