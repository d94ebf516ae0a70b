#include "pipeline/sound/film_sound.h"

#include "pipeline/media/read/sound_reader.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {

Result<std::vector<float>> film_sound(std::filesystem::path const& film, int rate, std::stop_token stop,
                                      std::function<void(double)> const& progress)
{
    TRY_ASSIGN(auto reader, SoundReader::open(film, {rate, Channels::mono}, stop));
    double const expected = std::max(to_seconds(reader.duration()) * rate, 1.0);
    std::vector<float> sound;
    sound.reserve(static_cast<std::size_t>(expected) + static_cast<std::size_t>(rate));
    for (;;) {
        TRY_ASSIGN(auto const block, reader.next());
        if (block.empty())
            break;
        if (stop.stop_requested())
            return Error{ErrorKind::interrupted, "stopped"};
        sound.insert(sound.end(), block.begin(), block.end());
        if (progress)
            progress(std::min(static_cast<double>(sound.size()) / expected, 1.0));
    }
    constexpr float kAudible = 1e-4F; // -80 dB below full scale
    if (std::ranges::none_of(sound, [](float sample) { return std::abs(sample) > kAudible; }))
        return Error{ErrorKind::unsupported, fmt::format("{}: its sound track is silent", film.string())};
    return sound;
}

} // namespace tabard::pipeline
