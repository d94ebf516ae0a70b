#include "tests/bench/listen/take_cache.h"

#include "tests/bench/listen/aubio_beats.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <fstream>
#include <string_view>

#include <fmt/format.h>

namespace tabard::tests {

namespace {

/// Raise it when the sound of the same strikes changes: rooms, microphones, talk, notes.
constexpr int kSoundVersion = 1;

/// FNV-1a (G. Fowler, L. C. Noll, P. Vo).
class Hash {
public:
    void add(std::string_view bytes)
    {
        for (char const c : bytes) {
            m_value ^= static_cast<unsigned char>(c);
            m_value *= 1099511628211U;
        }
    }
    std::uint64_t value() const { return m_value; }

private:
    std::uint64_t m_value = 14695981039346656037U;
};

std::string name_of(Condition const& condition, Performance const& played, NoteBank const& bank, std::uint32_t seed)
{
    Hash hash;
    hash.add(fmt::format("{} {} {} {}|", kSoundVersion, condition.name, bank.name(), seed));
    hash.add(fmt::format("{} {} {} {} {} {} {} {} {} {} {} {} {}|", condition.cents, condition.noise_decibels,
                         condition.reverb_seconds, condition.voice_level, condition.singing_level,
                         condition.talk_between, condition.aac, condition.bit_rate, condition.recorded_voice,
                         condition.hum_decibels, static_cast<int>(condition.microphone), condition.clipped,
                         condition.click));
    for (Strike const& strike : played.strikes)
        hash.add(fmt::format("{:.6f} {} {} {:.4f} {:.4f}|", strike.seconds, strike.string, strike.midi, strike.level,
                             strike.rings));
    for (auto const& pause : played.talk)
        hash.add(fmt::format("{:.6f} {:.6f}|", pause.from, pause.to));
    return fmt::format("{:016x}", hash.value());
}

template <class T>
std::vector<T> read(std::filesystem::path const& file)
{
    std::vector<T> values(std::filesystem::file_size(file) / sizeof(T));
    std::ifstream in(file, std::ios::binary);
    in.read(reinterpret_cast<char*>(values.data()), static_cast<std::streamsize>(values.size() * sizeof(T)));
    return in ? values : std::vector<T>{};
}

template <class T>
void write(std::filesystem::path const& file, std::vector<T> const& values)
{
    auto const fresh = file.string() + ".new"; // a run that is stopped leaves no half file behind
    std::ofstream(fresh, std::ios::binary)
        .write(reinterpret_cast<char const*>(values.data()), static_cast<std::streamsize>(values.size() * sizeof(T)));
    std::filesystem::rename(fresh, file);
}

constexpr float kScale = 32767;

} // namespace

BenchTake TakeCache::take(Condition const& condition, NoteBank& bank, std::uint32_t seed) const
{
    BenchTake result;
    result.take.played = build_performance(condition.manner, seed);
    auto const stem = m_folder / name_of(condition, result.take.played, bank, seed);
    auto const sound_file = stem.string() + ".s16";
    auto const beats_file = stem.string() + ".beats";
    if (!m_folder.empty() && std::filesystem::exists(beats_file) && std::filesystem::exists(sound_file)) {
        for (std::int16_t const sample : read<std::int16_t>(sound_file))
            result.take.sound.push_back(static_cast<float>(sample) / kScale);
        result.aubio = read<double>(beats_file);
        return result;
    }
    // Through 16 bits either way, so that a kept take is the same sound.
    std::vector<std::int16_t> samples;
    for (float const sample : record(condition, result.take.played, bank, seed))
        samples.push_back(static_cast<std::int16_t>(std::lround(kScale * sample)));
    for (std::int16_t const sample : samples)
        result.take.sound.push_back(static_cast<float>(sample) / kScale);
    result.aubio = aubio_beats(result.take.sound);
    if (!m_folder.empty()) {
        std::filesystem::create_directories(m_folder);
        write(sound_file, samples);
        write(beats_file, result.aubio);
    }
    return result;
}

} // namespace tabard::tests
