#include "pipeline/sound/film_sound.h"

#include "pipeline/media/read/sound_reader.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {

namespace {

constexpr float kAudible = 1e-4F; // -80 dB below full scale

// What a file claims is made room for only as far as its bytes can hold it: no encoder gets below 100 bytes a second.
std::size_t expected_samples(std::filesystem::path const& film, Time claimed, int rate)
{
    std::error_code failed;
    auto const bytes = std::filesystem::file_size(film, failed);
    double const possible = failed ? 0 : static_cast<double>(bytes) / 100;
    double const seconds = std::clamp(to_seconds(claimed), 0.0, std::min(possible, 3600.0 * kLongestHeldHours));
    return static_cast<std::size_t>(seconds * rate);
}

using Take = std::function<Result<void>(std::span<float const>)>;

Result<void> read_all(SoundReader& reader, std::filesystem::path const& film, std::stop_token const& stop,
                      std::function<void(double)> const& progress, Take const& take)
{
    double const expected = std::max(to_seconds(reader.duration()) * reader.format().rate, 1.0);
    double done = 0;
    bool audible = false;
    for (;;) {
        TRY_ASSIGN(auto const block, reader.next());
        if (block.empty())
            break;
        if (stop.stop_requested())
            return Error{ErrorKind::interrupted, "stopped"};
        audible = audible || std::ranges::any_of(block, [](float sample) { return std::abs(sample) > kAudible; });
        TRY_VOID(take(block));
        done += static_cast<double>(block.size());
        if (progress)
            progress(std::min(done / expected, 1.0));
    }
    if (!audible)
        return Error{ErrorKind::unsupported, fmt::format("{}: its sound track is silent", film.string())};
    return {};
}

} // namespace

Result<void> stream_film_sound(std::filesystem::path const& film, int rate, std::stop_token stop,
                               std::function<void(double)> const& progress, Take const& take)
{
    TRY_ASSIGN(auto reader, SoundReader::open(film, {rate, Channels::mono}, stop));
    return read_all(reader, film, stop, progress, take);
}

Result<std::vector<float>> film_sound(std::filesystem::path const& film, int rate, std::stop_token stop,
                                      std::function<void(double)> const& progress)
{
    TRY_ASSIGN(auto reader, SoundReader::open(film, {rate, Channels::mono}, stop));
    std::vector<float> sound;
    sound.reserve(expected_samples(film, reader.duration(), rate) + static_cast<std::size_t>(rate));
    std::size_t const most = std::size_t{3600} * kLongestHeldHours * static_cast<std::size_t>(rate);
    auto const keep = [&](std::span<float const> block) -> Result<void> {
        if (sound.size() + block.size() > most)
            return Error{ErrorKind::unsupported,
                         fmt::format("{}: its sound lasts longer than {} hours, which is more than can be listened to "
                                     "at once; cut the film into parts",
                                     film.string(), kLongestHeldHours)};
        sound.insert(sound.end(), block.begin(), block.end());
        return {};
    };
    TRY_VOID(read_all(reader, film, stop, progress, keep));
    return sound;
}

} // namespace tabard::pipeline
