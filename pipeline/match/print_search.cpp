#include "pipeline/match/print_search.h"

#include <algorithm>
#include <bit>

namespace tabard::pipeline {

namespace {

/// Adds a * conj(b), bin by bin. Written out: std::complex would look for infinities.
void add_product(std::vector<std::complex<float>>& sum, std::complex<float> const* a, std::complex<float> const* b)
{
    for (std::size_t bin = 0; bin < sum.size(); ++bin) {
        float const re = a[bin].real() * b[bin].real() + a[bin].imag() * b[bin].imag();
        float const im = a[bin].imag() * b[bin].real() - a[bin].real() * b[bin].imag();
        sum[bin] = {sum[bin].real() + re, sum[bin].imag() + im};
    }
}

} // namespace

PrintSearch::PrintSearch(SoundFingerprint const& sound)
    : m_sound(sound),
      m_fft(static_cast<int>(kBlock)),
      m_samples(kBlock),
      m_block_count(sound.words.size() / kKeep / kFresh + 1)
{
    m_blocks.resize(m_block_count * kChannels * kBins);
    for (std::size_t block = 0; block < m_block_count; ++block) {
        for (std::size_t channel = 0; channel < kChannels; ++channel) {
            load(sound, channel, block * kFresh * kKeep, kBlock * kKeep);
            std::ranges::copy(m_fft.forward(m_samples),
                              m_blocks.begin() + static_cast<std::ptrdiff_t>((block * kChannels + channel) * kBins));
        }
    }
}

/// One bit of every second word as +-1, 0 where it is quiet.
void PrintSearch::load(SoundFingerprint const& sound, std::size_t channel, std::size_t first, std::size_t frames)
{
    std::ranges::fill(m_samples, 0.0F);
    for (std::size_t n = 0; n * kKeep < frames && first + n * kKeep < sound.words.size(); ++n) {
        std::size_t const frame = first + n * kKeep;
        if (sound.quiet[frame] == 0)
            m_samples[n] = (sound.words[frame] >> (channel * kKeep) & 1U) != 0 ? 1.0F : -1.0F;
    }
}

float PrintSearch::likeness(SoundFingerprint const& stretch, std::ptrdiff_t frame) const
{
    int agree = 0;
    int sounding = 0;
    for (std::size_t n = 0; n < stretch.words.size(); ++n) {
        if (stretch.quiet[n] != 0)
            continue;
        ++sounding;
        auto const at = frame + static_cast<std::ptrdiff_t>(n);
        if (at < 0 || at >= std::ssize(m_sound.words) || m_sound.quiet[static_cast<std::size_t>(at)] != 0)
            continue;
        agree += 32 - 2 * std::popcount(stretch.words[n] ^ m_sound.words[static_cast<std::size_t>(at)]);
    }
    return static_cast<float>(agree) / (32.0F * static_cast<float>(std::max(sounding, 1)));
}

std::vector<PrintSearch::Place> PrintSearch::find(SoundFingerprint const& stretch, std::size_t most, float least)
{
    std::size_t const frames = std::min(stretch.words.size(), kLongest);
    std::vector<std::complex<float>> wanted(kChannels * kBins);
    float sounding = 0;
    for (std::size_t channel = 0; channel < kChannels; ++channel) {
        load(stretch, channel, 0, frames);
        if (channel == 0)
            sounding = static_cast<float>(std::ranges::count_if(m_samples, [](float bit) { return bit != 0; }));
        std::ranges::copy(m_fft.forward(m_samples), wanted.begin() + static_cast<std::ptrdiff_t>(channel * kBins));
    }
    float const scale = 1 / (static_cast<float>(kBlock * kChannels) * std::max(sounding, 1.0F));
    std::vector<float> curve(m_block_count * kFresh);
    for (std::size_t block = 0; block < m_block_count; ++block) {
        std::vector<std::complex<float>> product(kBins);
        for (std::size_t channel = 0; channel < kChannels; ++channel)
            add_product(product, &m_blocks[(block * kChannels + channel) * kBins], &wanted[channel * kBins]);
        auto const agreement = m_fft.inverse(product);
        std::transform(agreement.begin(), agreement.begin() + kFresh,
                       curve.begin() + static_cast<std::ptrdiff_t>(block * kFresh),
                       [=](float value) { return value * scale; });
    }
    std::vector<Place> places;
    for (std::size_t n = 0; n < curve.size(); ++n) {
        bool const peak = curve[n] > least && (n == 0 || curve[n] >= curve[n - 1]) &&
                          (n + 1 == curve.size() || curve[n] > curve[n + 1]);
        if (peak)
            places.push_back({static_cast<std::ptrdiff_t>(n * kKeep), curve[n]});
    }
    std::ranges::sort(places, std::greater{}, &Place::likeness);
    places.resize(std::min(places.size(), most));
    for (Place& place : places) { // to the frame
        Place const about = place;
        for (std::ptrdiff_t shift = -1; shift <= 1; ++shift) {
            float const exact = likeness(stretch, about.frame + shift);
            if (shift == -1 || exact > place.likeness)
                place = {about.frame + shift, exact};
        }
    }
    std::ranges::sort(places, std::greater{}, &Place::likeness);
    return places;
}

} // namespace tabard::pipeline
