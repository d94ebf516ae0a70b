#include "pipeline/listen/chroma.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <deque>
#include <numbers>
#include <numeric>

namespace tabard::pipeline {

namespace {

float hertz(float pitch) { return 440 * std::exp2((pitch - 69) / 12); }

/// Spreads a partial over the pitch classes next to it with a Gaussian in pitch.
void fold(PitchClasses& classes, float pitch, float weight, float deviation)
{
    float const nearest = std::floor(pitch);
    for (float const semitone : {nearest, nearest + 1}) {
        float const distance = (pitch - semitone) / deviation;
        auto const index = static_cast<std::size_t>((static_cast<int>(semitone) % 12 + 12) % 12);
        classes[index] += weight * std::exp(-0.5F * distance * distance);
    }
}

/// The running sum over 2 * `reach` + 1 frames of one half of the chroma, in place.
void smooth(std::vector<Chroma>& frames, PitchClasses Chroma::*half, std::size_t reach)
{
    std::deque<PitchClasses> around; // as they were, from `reach` frames before to `reach` after
    for (std::size_t n = 0; n < std::min(reach, frames.size()); ++n)
        around.push_back(frames[n].*half);
    for (std::size_t n = 0; n < frames.size(); ++n) {
        if (n + reach < frames.size())
            around.push_back(frames[n + reach].*half);
        if (n > reach)
            around.pop_front();
        PitchClasses sum{};
        for (PitchClasses const& frame : around)
            for (std::size_t c = 0; c < sum.size(); ++c)
                sum[c] += frame[c];
        frames[n].*half = sum;
    }
}

void compress(PitchClasses& classes)
{
    for (float& value : classes)
        value = std::sqrt(value);
    normalise(classes);
}

} // namespace

float dot(PitchClasses const& a, PitchClasses const& b)
{
    return std::inner_product(a.begin(), a.end(), b.begin(), 0.0F);
}

void normalise(PitchClasses& classes)
{
    float const length = std::sqrt(dot(classes, classes));
    if (length > 0)
        for (float& value : classes)
            value /= length;
}

double estimate_tuning(SpectralPeaks const& peaks)
{
    std::complex<double> sum = 0;
    for (SpectralPeak const& peak : peaks.treble) {
        float const frequency = hertz(peak.pitch());
        if (frequency >= 180 && frequency <= 1500)
            sum += std::polar(static_cast<double>(peak.weight()),
                              2 * std::numbers::pi * static_cast<double>(peak.pitch()));
    }
    return std::abs(sum) > 0 ? std::arg(sum) / (2 * std::numbers::pi) : 0.0;
}

std::vector<Chroma> fold_to_chroma(SpectralPeaks const& peaks, double tuning)
{
    auto const offset = static_cast<float>(tuning);
    std::vector<Chroma> frames(peaks.frames());
    for (std::size_t n = 0; n < frames.size(); ++n) {
        for (SpectralPeak const& peak : peaks.treble_of(n)) {
            float const high = hertz(peak.pitch()) / 900;
            fold(frames[n].treble, peak.pitch() - offset, peak.weight() / (1 + high * high), 0.22F);
        }
        for (SpectralPeak const& peak : peaks.bass_of(n))
            fold(frames[n].bass, peak.pitch() - offset, peak.weight(), 0.30F);
    }
    smooth(frames, &Chroma::treble, 1);
    smooth(frames, &Chroma::bass, 2);
    for (Chroma& chroma : frames) {
        compress(chroma.treble);
        compress(chroma.bass);
    }
    return frames;
}

} // namespace tabard::pipeline
