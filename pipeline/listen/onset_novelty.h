#pragma once
#include <span>
#include <vector>

namespace tabard::pipeline {

constexpr int kNoveltyHop = 256; ///< samples between values: value n belongs to sample n * kNoveltyHop

/// How much new sound starts around each instant, 0 to 1: spectral flux in log bands with a maximum filter over
/// frequency, which voices with vibrato do not set off (the SuperFlux idea: S. Boeck and G. Widmer, DAFx 2013).
std::vector<float> onset_novelty(std::span<float const> sound);

} // namespace tabard::pipeline
