#include "pipeline/desk/view/waveform.h"

#include "pipeline/sound/film_sound.h"

#include <algorithm>
#include <cmath>
#include <span>

namespace tabard::pipeline {
namespace {

constexpr int kSoundRate = 8000; // what is louder above 4 kHz than below is no note to tap to
constexpr int kStep = kSoundRate / kWaveformRate;

class Peaks {
public:
    void take(std::span<float const> samples)
    {
        for (float const sample : samples) {
            m_loudest = std::max(m_loudest, std::abs(sample));
            if (++m_samples == kStep)
                end_step();
        }
    }
    std::string finish()
    {
        if (m_samples > 0)
            end_step();
        return std::move(m_peaks);
    }

private:
    void end_step()
    {
        m_peaks += static_cast<char>(static_cast<unsigned char>(std::lround(255 * std::min(m_loudest, 1.0F))));
        m_loudest = 0;
        m_samples = 0;
    }
    float m_loudest = 0;
    int m_samples = 0;
    std::string m_peaks;
};

} // namespace

Result<std::string> read_waveform(std::filesystem::path const& film, std::stop_token stop)
{
    Peaks peaks;
    auto const read =
        stream_film_sound(film, kSoundRate, std::move(stop), {}, [&](std::span<float const> samples) -> Result<void> {
            peaks.take(samples);
            return {};
        });
    if (!read && read.error().kind == ErrorKind::not_found)
        return std::string{};
    std::string all = peaks.finish();
    bool const silent = !read && read.error().kind == ErrorKind::unsupported && !all.empty();
    if (!read && !silent)
        return read.error();
    return all;
}

} // namespace tabard::pipeline
