#include "pipeline/sound/short_time_spectrum.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace tabard::pipeline {

ShortTimeSpectrum::ShortTimeSpectrum(int size)
    : m_fft(size),
      m_window(static_cast<std::size_t>(size)),
      m_frame(m_window.size()),
      m_magnitudes(m_window.size() / 2 + 1)
{
    for (std::size_t n = 0; n < m_window.size(); ++n)
        m_window[n] = static_cast<float>(0.5 - 0.5 * std::cos(2 * std::numbers::pi * static_cast<double>(n) / size));
}

std::span<float const> ShortTimeSpectrum::magnitudes(std::span<float const> sound, std::ptrdiff_t centre)
{
    auto const size = static_cast<std::ptrdiff_t>(m_frame.size());
    std::ptrdiff_t const start = centre - size / 2;
    auto const first = std::clamp<std::ptrdiff_t>(-start, 0, size);
    auto const last = std::clamp<std::ptrdiff_t>(std::ssize(sound) - start, first, size);
    std::ranges::fill(m_frame, 0.0F);
    float energy = 0;
    for (std::ptrdiff_t n = first; n < last; ++n) {
        auto const at = static_cast<std::size_t>(n);
        m_frame[at] = m_window[at] * sound[static_cast<std::size_t>(start + n)];
        energy += m_frame[at] * m_frame[at];
    }
    m_level = std::sqrt(energy / static_cast<float>(size));
    auto const bins = m_fft.forward(m_frame);
    for (std::size_t bin = 0; bin < bins.size(); ++bin)
        m_magnitudes[bin] = std::sqrt(std::norm(bins[bin]));
    return m_magnitudes;
}

} // namespace tabard::pipeline
