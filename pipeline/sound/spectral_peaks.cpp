#include "pipeline/sound/spectral_peaks.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {

namespace {

/// Finds the whitened peaks between two frequencies in spectra of one size.
class PeakPicker {
public:
    PeakPicker(int size, double low, double high)
        : m_hertz(static_cast<double>(kListenRate) / size),
          m_first(static_cast<std::size_t>(low / m_hertz)),
          m_last(static_cast<std::size_t>(high / m_hertz) + 1),
          m_sums(static_cast<std::size_t>(size) / 2 + 2)
    {
    }

    void pick(std::span<float const> magnitudes, std::vector<SpectralPeak>& peaks)
    {
        for (std::size_t bin = 0; bin < magnitudes.size(); ++bin)
            m_sums[bin + 1] = m_sums[bin] + magnitudes[bin];
        for (std::size_t bin = m_first; bin < m_last; ++bin) {
            float const here = magnitudes[bin];
            if (here <= magnitudes[bin - 1] || here < magnitudes[bin + 1])
                continue;
            float const white = here / neighbourhood_mean(bin, magnitudes.size());
            if (white > 1.2F)
                peaks.push_back(
                    {pitch(static_cast<double>(bin) + parabola_top(magnitudes, bin)), std::min(white, 50.0F)});
        }
    }

private:
    float neighbourhood_mean(std::size_t bin, std::size_t bins) const
    {
        auto const low = static_cast<std::size_t>(0.75 * static_cast<double>(bin));
        auto const high = std::min(static_cast<std::size_t>(1.4 * static_cast<double>(bin)) + 1, bins);
        double const mean = (m_sums[high] - m_sums[low]) / static_cast<double>(high - low);
        return static_cast<float>(mean) + 1e-9F;
    }

    /// Where the parabola through the logarithms of three bins peaks, relative to the middle one.
    static double parabola_top(std::span<float const> magnitudes, std::size_t bin)
    {
        double const left = std::log(magnitudes[bin - 1] + 1e-12);
        double const middle = std::log(magnitudes[bin] + 1e-12);
        double const right = std::log(magnitudes[bin + 1] + 1e-12);
        double const curve = left - 2 * middle + right;
        return curve < 0 ? std::clamp(0.5 * (left - right) / curve, -0.5, 0.5) : 0.0;
    }

    float pitch(double bin) const { return static_cast<float>(69 + 12 * std::log2(bin * m_hertz / 440)); }

    double m_hertz;
    std::size_t m_first;
    std::size_t m_last;
    std::vector<double> m_sums; ///< prefix sums of the magnitudes
};

} // namespace

std::span<SpectralPeak const> SpectralPeaks::treble_of(std::size_t frame) const
{
    return std::span(treble).subspan(treble_starts[frame], treble_starts[frame + 1] - treble_starts[frame]);
}

std::span<SpectralPeak const> SpectralPeaks::bass_of(std::size_t frame) const
{
    return std::span(bass).subspan(bass_starts[frame], bass_starts[frame + 1] - bass_starts[frame]);
}

SpectralPeaks find_spectral_peaks(std::span<float const> sound)
{
    SpectralPeaks found;
    ShortTimeSpectrum treble(sound, 4096);
    ShortTimeSpectrum bass(sound, 8192);
    PeakPicker treble_picker(4096, 160, 2400);
    PeakPicker bass_picker(8192, 72, 230);
    for (std::size_t centre = 0; centre <= sound.size(); centre += kChromaHop) {
        found.treble_starts.push_back(static_cast<std::uint32_t>(found.treble.size()));
        found.bass_starts.push_back(static_cast<std::uint32_t>(found.bass.size()));
        treble_picker.pick(treble.magnitudes(static_cast<std::ptrdiff_t>(centre)), found.treble);
        found.levels.push_back(treble.level());
        bass_picker.pick(bass.magnitudes(static_cast<std::ptrdiff_t>(centre)), found.bass);
    }
    found.treble_starts.push_back(static_cast<std::uint32_t>(found.treble.size()));
    found.bass_starts.push_back(static_cast<std::uint32_t>(found.bass.size()));
    return found;
}

} // namespace tabard::pipeline
