#pragma once
#include <cstdint>
#include <vector>

namespace tabard::lantern {

constexpr int kSampleRate = 48'000;

/// How a string is set off.
struct Pluck {
    double frequency = 220; ///< hertz
    double force = 1;       ///< 1 is an ordinary stroke; harder is louder and brighter
    double damping = 0;     ///< 0 rings freely, 1 is choked by the palm
    std::uint32_t seed = 1; ///< for the noise of the plectrum
};

/// One plucked string, as much of it as is heard in `samples`. Mono, about 1 at its loudest.
/// A digital waveguide: a delay line as long as the period, whose loop filter loses the high partials first, tuned by
/// an all-pass (Karplus and Strong 1983; Jaffe and Smith 1983), run twice with slightly different tuning and decay for
/// the string's two planes of vibration.
std::vector<float> pluck(Pluck const& how, std::size_t samples);

} // namespace tabard::lantern
