#include "pipeline/sound/spectral_peaks.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace tabard::pipeline {

namespace {

constexpr int kTrebleFrame = 4096;
constexpr int kBassFrame = 8192;
constexpr float kMostWeight = 50; // of a partial alone in silence
static_assert(PeakFinder::kReach == kBassFrame / 2);

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

    void pick(std::span<float const> magnitudes, PeakList& peaks)
    {
        for (std::size_t bin = 0; bin < magnitudes.size(); ++bin)
            m_sums[bin + 1] = m_sums[bin] + magnitudes[bin];
        for (std::size_t bin = m_first; bin < m_last; ++bin) {
            float const here = magnitudes[bin];
            if (here <= magnitudes[bin - 1] || here < magnitudes[bin + 1])
                continue;
            float const white = here / neighbourhood_mean(bin, magnitudes.size());
            if (white > 1.2F)
                peaks.emplace_back(pitch(static_cast<double>(bin) + parabola_top(magnitudes, bin)),
                                   std::min(white, kMostWeight));
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

PeakRange range_of(PeakList const& peaks, std::vector<std::uint32_t> const& starts, std::size_t frame)
{
    auto const at = [&](std::size_t n) { return peaks.begin() + static_cast<std::ptrdiff_t>(starts[n]); };
    return {at(frame), at(frame + 1)};
}

} // namespace

PeakRange SpectralPeaks::treble_of(std::size_t frame) const { return range_of(treble, treble_starts, frame); }

PeakRange SpectralPeaks::bass_of(std::size_t frame) const { return range_of(bass, bass_starts, frame); }

struct PeakFinder::Impl {
    ShortTimeSpectrum treble{kTrebleFrame};
    ShortTimeSpectrum bass{kBassFrame};
    PeakPicker treble_picker{kTrebleFrame, 160, 2400};
    PeakPicker bass_picker{kBassFrame, 72, 230};
    SpectralPeaks found;

    void begin_frame()
    {
        found.treble_starts.push_back(static_cast<std::uint32_t>(found.treble.size()));
        found.bass_starts.push_back(static_cast<std::uint32_t>(found.bass.size()));
    }
};

PeakFinder::PeakFinder() : m_impl(std::make_unique<Impl>()) {}
PeakFinder::PeakFinder(PeakFinder&&) noexcept = default;
PeakFinder& PeakFinder::operator=(PeakFinder&&) noexcept = default;
PeakFinder::~PeakFinder() = default;

void PeakFinder::add_frame(std::span<float const> sound, std::ptrdiff_t centre)
{
    Impl& work = *m_impl;
    work.begin_frame();
    work.treble_picker.pick(work.treble.magnitudes(sound, centre), work.found.treble);
    work.found.levels.push_back(work.treble.level());
    work.bass_picker.pick(work.bass.magnitudes(sound, centre), work.found.bass);
}

SpectralPeaks PeakFinder::finish()
{
    m_impl->begin_frame(); // where the last one ends
    return std::move(m_impl->found);
}

} // namespace tabard::pipeline
