#include "pipeline/sound/loudness.h"

#include "pipeline/media/read/sound_reader.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include <ebur128.h>

namespace tabard::pipeline {
namespace {

struct MeterReleaser {
    void operator()(ebur128_state* meter) const noexcept { ebur128_destroy(&meter); }
};
using LoudnessMeter = std::unique_ptr<ebur128_state, MeterReleaser>;

/// What was heard, or none for silence (the gate of BS.1770 lets nothing through then).
std::optional<Loudness> result_of(ebur128_state& meter)
{
    Loudness loudness;
    if (ebur128_loudness_global(&meter, &loudness.integrated_lufs) != EBUR128_SUCCESS ||
        !std::isfinite(loudness.integrated_lufs))
        return std::nullopt;
    double peak = 0;
    for (unsigned channel = 0; channel < meter.channels; ++channel) {
        double of_channel = 0;
        if (ebur128_true_peak(&meter, channel, &of_channel) == EBUR128_SUCCESS)
            peak = std::max(peak, of_channel);
    }
    loudness.true_peak_dbtp = 20 * std::log10(std::max(peak, 1e-9));
    return loudness;
}

} // namespace

Result<std::optional<Loudness>> measure_loudness(std::filesystem::path const& footage, std::stop_token stop)
{
    TRY_ASSIGN(SoundReader sound, SoundReader::open(footage, {48'000, Channels::stereo}, stop));
    auto const channels = static_cast<unsigned>(sound.channels());
    LoudnessMeter const meter(ebur128_init(channels, static_cast<unsigned long>(sound.format().rate),
                                           EBUR128_MODE_I | EBUR128_MODE_TRUE_PEAK));
    if (!meter)
        return Error{ErrorKind::io, "no memory to measure the sound"};
    while (true) {
        TRY_ASSIGN(std::span<float const> const samples, sound.next());
        if (samples.empty())
            return result_of(*meter);
        if (ebur128_add_frames_float(meter.get(), samples.data(), samples.size() / channels) != EBUR128_SUCCESS)
            return Error{ErrorKind::io, "no memory to measure the sound"};
    }
}

} // namespace tabard::pipeline
