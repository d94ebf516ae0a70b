#include "sample_media/make/pluck.h"

#include <algorithm>
#include <cmath>

namespace tabard::lantern {
namespace {

/// Numerical Recipes' 32-bit linear congruential generator, to -1 .. 1.
float noise(std::uint32_t& state)
{
    state = state * 1664525U + 1013904223U;
    return static_cast<float>(static_cast<std::int32_t>(state)) / 2147483648.0F;
}

/// The first period: a sharp edge running both ways from where the plectrum is (a fifth of the string from the
/// bridge), with a little scratch, rounded off the softer the touch.
std::vector<float> excitation(Pluck const& how, std::size_t period)
{
    std::vector<float> wave(period, 0.0F);
    auto state = how.seed * 2654435761U;
    for (auto& sample : wave)
        sample = 0.06F * noise(state);
    wave[0] += 1.0F;
    wave[period / 5] -= 0.9F;
    double const corner = std::min(1800 + 2600 * how.force, 6000.0);
    auto const smooth = static_cast<float>(std::exp(-6.2831853 * corner / kSampleRate));
    float held = 0;
    for (int pass = 0; pass < 2; ++pass) { // twice, so that the filter has settled around the loop
        for (auto& sample : wave) {
            held = (1 - smooth) * sample + smooth * held;
            sample = held;
        }
    }
    float mean = 0;
    for (auto const sample : wave)
        mean += sample / static_cast<float>(period);
    for (auto& sample : wave)
        sample = (sample - mean) * static_cast<float>(std::sqrt(static_cast<double>(period)) * 0.35 * how.force);
    return wave;
}

void run_loop(Pluck const& how, double frequency, double seconds_to_silence, float gain, std::vector<float>& out)
{
    constexpr double kLowpass = 0.16; // share of the sample before in the loop filter; also its delay in samples
    double const period = kSampleRate / frequency - kLowpass;
    auto whole = static_cast<std::size_t>(period);
    double fraction = period - static_cast<double>(whole);
    if (fraction < 0.1) { // an all-pass is best behaved between 0.1 and 1.1 samples
        --whole;
        fraction += 1;
    }
    auto const tune = static_cast<float>((1 - fraction) / (1 + fraction));
    auto const loss = static_cast<float>(std::pow(10.0, -3.0 / (frequency * seconds_to_silence)));
    auto const lowpass = static_cast<float>(kLowpass);
    auto line = excitation(how, whole);
    float last = 0;
    float all_pass_in = 0;
    float all_pass_out = 0;
    for (std::size_t i = 0, at = 0; i < out.size(); ++i, at = at + 1 == whole ? 0 : at + 1) {
        float const sample = line[at];
        out[i] += gain * sample;
        float const filtered = loss * ((1 - lowpass) * sample + lowpass * last);
        last = sample;
        all_pass_out = tune * filtered + all_pass_in - tune * all_pass_out;
        all_pass_in = filtered;
        line[at] = all_pass_out;
    }
}

} // namespace

std::vector<float> pluck(Pluck const& how, std::size_t samples)
{
    std::vector<float> out(samples, 0.0F);
    // Wound strings ring longer than plain ones; the palm stops either.
    double const free_ring = 7.0 * std::sqrt(110.0 / how.frequency);
    double const ring = how.damping > 0 ? 0.09 + (1 - how.damping) * free_ring : free_ring;
    run_loop(how, how.frequency, ring, 0.7F, out);
    run_loop(how, how.frequency * 1.0003, ring * 0.55, 0.3F, out);
    return out;
}

} // namespace tabard::lantern
