#include "tests/support/performance/treatment.h"

#include "tests/support/performance/recut.h"
#include "tests/support/performance/room.h"

#include <cmath>

#include <fmt/format.h>

namespace tabard::tests {

namespace {

constexpr int kRate = pipeline::kMatchRate;

/// FFmpeg's filter for it. The rate in between is high, so that small changes of speed are exact to 0.000005.
std::string filter_of(pipeline::Playback playback)
{
    if (playback.speed == 1)
        return "";
    if (playback.pitch_kept)
        return fmt::format("atempo={}", playback.speed);
    return fmt::format("aresample=192000,asetrate={},aresample=44100", std::lround(192000 * playback.speed));
}

std::vector<float> through(std::vector<float> const& sound, std::string const& filter, std::string const& encoder,
                           std::string const& ending, std::filesystem::path const& scratch)
{
    auto const wav = scratch / "untreated.wav";
    auto const coded = scratch / ("treated." + ending);
    write_wav(wav, sound, kRate);
    auto const chain = filter.empty() ? std::string() : fmt::format("-af '{}'", filter);
    floats_from(fmt::format("ffmpeg -v error -y -i '{}' {} {} '{}'", wav.string(), chain, encoder, coded.string()));
    auto decoded = floats_from(fmt::format("ffmpeg -v error -i '{}' -ac 1 -ar {} -f f32le -", coded.string(), kRate));
    std::filesystem::remove(wav);
    std::filesystem::remove(coded);
    return decoded;
}

void add_music(std::vector<float>& sound, double decibels, std::uint32_t seed)
{
    auto music = invented_music(static_cast<double>(sound.size()) / kRate, seed);
    auto const gain = static_cast<float>(std::pow(10, decibels / 20) * loudness(sound) / loudness(music));
    for (std::size_t n = 0; n < sound.size(); ++n)
        sound[n] += gain * music[n];
}

} // namespace

std::vector<Treatment> treatments()
{
    std::vector<Treatment> all{
        {.name = "another encoder"},
        {.name = "compressor, equaliser", .filter = "acompressor=threshold=0.1:ratio=4,equalizer=f=1500:t=q:w=1:g=4"},
        {.name = "denoised, gently", .filter = "afftdn=nr=12:nf=-50"},
        {.name = "denoised, hard", .filter = "afftdn=nr=40:nf=-35"},
        {.name = "denoised by non-local means", .filter = "anlmdn=s=0.001"},
        {.name = "gate", .filter = "agate=threshold=0.03:ratio=6:range=0.02"},
        {.name = "compand", .filter = "compand=attacks=0.05:decays=0.3:points=-80/-80|-40/-20|0/-6"},
        {.name = "loudness evened", .filter = "loudnorm"},
        {.name = "telephone band", .filter = "highpass=f=300,lowpass=f=3000"},
        {.name = "MP3 64k", .encoder = "-c:a libmp3lame -b:a 64k", .ending = "mp3"},
        {.name = "Opus 32k, stereo", .encoder = "-ac 2 -c:a libopus -b:a 32k", .ending = "opus"},
        {.name = "22 kHz, 16 bit", .encoder = "-ar 22050 -c:a pcm_s16le", .ending = "wav"},
    };
    for (int const decibels : {-20, -10, -6, 0})
        all.push_back({.name = fmt::format("music at {} dB", decibels), .music = decibels});
    for (double const speed : {0.5, 0.75, 0.95, 0.999, 1.00005, 1.001, 1.01, 1.05, 1.25, 1.5, 2.0}) {
        all.push_back({.name = fmt::format("{} times as fast", speed), .playback = {speed, false}});
        all.push_back({.name = fmt::format("{} times, pitch kept", speed), .playback = {speed, true}});
    }
    all.push_back({.name = "denoised, 1.05 times", .filter = "afftdn=nr=12:nf=-50", .playback = {1.05, true}});
    all.push_back({.name = "music at -10 dB, 1.05 times", .playback = {1.05, false}, .music = -10});
    return all;
}

std::vector<float> played(std::vector<float> const& sound, pipeline::Playback playback,
                          std::filesystem::path const& scratch)
{
    return through(sound, filter_of(playback), "-c:a pcm_f32le", "wav", scratch);
}

std::vector<float> treated(std::vector<float> const& sound, Treatment const& treatment, std::uint32_t seed,
                           std::filesystem::path const& scratch)
{
    auto result = treatment.playback.speed == 1 ? sound : played(sound, treatment.playback, scratch);
    if (treatment.music)
        add_music(result, *treatment.music, seed);
    return through(result, treatment.filter, treatment.encoder, treatment.ending, scratch);
}

} // namespace tabard::tests
