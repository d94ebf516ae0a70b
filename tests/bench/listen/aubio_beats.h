#pragma once
#include <vector>

namespace tabard::tests {

/// The beats that aubio's generic beat tracker hears, seconds; none without aubio. `sound` is mono at kSampleRate.
std::vector<double> aubio_beats(std::vector<float> const& sound);

} // namespace tabard::tests
