#pragma once
#include "pipeline/sound/real_fft.h"

#include <cstddef>
#include <span>
#include <vector>

namespace tabard::pipeline {

constexpr int kListenRate = 22050; ///< samples a second of all sound that is listened to, mono

/// Magnitudes of Hann-windowed frames centred on chosen samples; one frame at a time, so that long films need little
/// memory.
class ShortTimeSpectrum {
public:
    explicit ShortTimeSpectrum(int size);

    /// Bins 0 to size/2 of the frame of `sound` centred on its sample `centre`; outside the sound it is silent. Valid
    /// until the next call.
    std::span<float const> magnitudes(std::span<float const> sound, std::ptrdiff_t centre);
    /// Root mean square of the last frame, window included.
    float level() const { return m_level; }

private:
    RealFft m_fft;
    std::vector<float> m_window;
    std::vector<float> m_frame;
    std::vector<float> m_magnitudes;
    float m_level = 0;
};

} // namespace tabard::pipeline
