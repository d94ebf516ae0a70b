#include "tests/support/performance/room.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <numbers>
#include <numeric>
#include <random>
#include <string>
#include <vector>

#include <fmt/format.h>

namespace tabard::tests {

double loudness(std::vector<float> const& sound)
{
    double sum = 0;
    for (float const sample : sound)
        sum += static_cast<double>(sample) * sample;
    return std::sqrt(sum / static_cast<double>(std::max<std::size_t>(sound.size(), 1)));
}

void add_noise(std::vector<float>& sound, double decibels, std::uint32_t seed)
{
    std::mt19937 random(seed);
    std::normal_distribution<float> normal;
    std::vector<float> noise(sound.size());
    float low = 0;
    for (float& sample : noise) {
        float const white = normal(random);
        low = 0.9F * low + 0.1F * white;
        sample = 0.3F * white + low;
    }
    auto const gain = static_cast<float>(loudness(sound) / loudness(noise) * std::pow(10, -decibels / 20));
    for (std::size_t n = 0; n < sound.size(); ++n)
        sound[n] += gain * noise[n];
}

void add_reverb(std::vector<float>& sound, double seconds, double share)
{
    std::vector<float> wet(sound.size());
    for (double const delay : {0.0297, 0.0371, 0.0411, 0.0437}) {
        auto const length = static_cast<std::size_t>(delay * kSampleRate);
        auto const feedback = static_cast<float>(std::pow(10, -3 * delay / seconds));
        std::vector<float> line(length);
        for (std::size_t n = 0; n < sound.size(); ++n) {
            float& cell = line[n % length];
            wet[n] += 0.25F * cell;
            cell = sound[n] + feedback * cell;
        }
    }
    for (double const delay : {0.005, 0.0017}) {
        auto const length = static_cast<std::size_t>(delay * kSampleRate);
        std::vector<float> line(length);
        for (std::size_t n = 0; n < wet.size(); ++n) {
            float& cell = line[n % length];
            float const out = cell - 0.7F * wet[n];
            cell = wet[n] + 0.7F * out;
            wet[n] = out;
        }
    }
    for (std::size_t n = 0; n < sound.size(); ++n)
        sound[n] += static_cast<float>(share) * wet[n];
}

void add_voice(std::vector<float>& sound, std::vector<float> const& voice, double from, double to, double level)
{
    if (voice.empty())
        return;
    auto const gain = static_cast<float>(level * loudness(sound) / loudness(voice));
    auto const first = static_cast<std::size_t>(from * kSampleRate);
    auto const last = std::min(static_cast<std::size_t>(to * kSampleRate), sound.size());
    for (std::size_t at = first; at < last; ++at)
        sound[at] += gain * voice[(at - first) % voice.size()];
}

void add_singing(std::vector<float>& sound, Performance const& performance, double level)
{
    double const gain = level * loudness(sound);
    double phase = 0;
    for (std::size_t part = 0; part < performance.chart.size(); ++part) {
        auto const& spans = performance.chart[part].spans;
        PlayedPart const& played = performance.parts[part];
        for (std::size_t span = 0; span < spans.size(); ++span) {
            if (!played.sounded(span))
                continue;
            int const tone = spans[span].chord.tones[(span * 7 + part) % spans[span].chord.tones.size()];
            double const frequency = 440 * std::exp2((57 + (tone + 3) % 12 - 69) / 12.0);
            double const from = played.span_starts[span] + 0.08;
            double const to = played.sounded(span + 1) ? played.span_starts[span + 1] : played.beats.back();
            for (auto at = static_cast<std::size_t>(from * kSampleRate);
                 at < std::min(static_cast<std::size_t>(to * kSampleRate), sound.size()); ++at) {
                double const seconds = static_cast<double>(at) / kSampleRate - from;
                double const vibrato = 1 + 0.006 * std::sin(2 * std::numbers::pi * 5.5 * seconds);
                phase += 2 * std::numbers::pi * frequency * vibrato / kSampleRate;
                double const swell = std::min(1.0, seconds / 0.1);
                for (int harmonic = 1; harmonic <= 8; ++harmonic)
                    sound[at] += static_cast<float>(gain * swell / harmonic * std::sin(harmonic * phase));
            }
        }
    }
}

void add_click(std::vector<float>& sound, Performance const& performance, double level)
{
    constexpr double kSeconds = 0.025;
    double const gain = 3 * level * loudness(sound);
    auto const click = [&](double time, double hertz) {
        auto const first = static_cast<std::size_t>(std::max(0.0, time) * kSampleRate);
        for (std::size_t n = 0; n < static_cast<std::size_t>(kSeconds * kSampleRate) && first + n < sound.size(); ++n) {
            double const seconds = static_cast<double>(n) / kSampleRate;
            sound[first + n] += static_cast<float>(gain * std::exp(-seconds / 0.006) *
                                                   std::sin(2 * std::numbers::pi * hertz * seconds));
        }
    };
    for (std::size_t part = 0; part < performance.parts.size(); ++part) {
        auto const& beats = performance.parts[part].beats;
        int const bar = performance.chart[part].beats_per_bar;
        for (int beat = -4; beat + 1 < static_cast<int>(beats.size()); ++beat) {
            double const time =
                beat < 0 ? beats[0] + beat * (beats[1] - beats[0]) : beats[static_cast<std::size_t>(beat)];
            click(time, beat % bar == 0 ? 1500 : 1000);
        }
    }
}

void write_wav(std::filesystem::path const& file, std::vector<float> const& sound, int sample_rate)
{
    std::ofstream out(file, std::ios::binary);
    auto const put = [&out](auto value) { out.write(reinterpret_cast<char const*>(&value), sizeof value); };
    auto const bytes = static_cast<std::uint32_t>(sound.size() * sizeof(float));
    out.write("RIFF", 4);
    put(bytes + 36);
    out.write("WAVEfmt ", 8);
    put(std::uint32_t{16});
    put(std::uint16_t{3}); // IEEE float
    put(std::uint16_t{1});
    put(static_cast<std::uint32_t>(sample_rate));
    put(static_cast<std::uint32_t>(sample_rate) * 4);
    put(std::uint16_t{4});
    put(std::uint16_t{32});
    out.write("data", 4);
    put(bytes);
    out.write(reinterpret_cast<char const*>(sound.data()), bytes);
}

std::vector<float> through_aac(std::vector<float> const& sound, std::string const& bit_rate,
                               std::filesystem::path const& scratch, std::string const& filter, int rate)
{
    auto const wav = scratch / "plain.wav";
    auto const coded = scratch / "coded.m4a";
    write_wav(wav, sound, rate);
    auto const chain = filter.empty() ? std::string() : fmt::format("-af '{}'", filter);
    floats_from(fmt::format("ffmpeg -v error -y -i '{}' -ar 44100 {} -c:a aac -b:a {} '{}'", wav.string(), chain,
                            bit_rate, coded.string()));
    auto decoded = floats_from(fmt::format("ffmpeg -v error -i '{}' -ac 1 -ar {} -f f32le -", coded.string(), rate));
    decoded.resize(sound.size());
    std::filesystem::remove(wav);
    std::filesystem::remove(coded);
    return decoded;
}

} // namespace tabard::tests
