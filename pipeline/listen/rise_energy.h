#pragma once
#include <cstddef>
#include <span>
#include <vector>

namespace tabard::pipeline {

constexpr int kRiseHop = 32; ///< samples of sound a value: 1.5 ms

/// The energy of the differenced sound, x[n] - 0.9 x[n - 1], in steps of kRiseHop samples: fine enough to see where a
/// stroke starts, and an eighth of the sound's memory: 10 MB an hour.
class RiseMeter {
public:
    /// The next samples, mono at kListenRate.
    void add(std::span<float const> block);
    /// All values: value n is the energy from sample n * kRiseHop on. Nothing may be added after it.
    std::vector<float> finish();

private:
    std::vector<float> m_energies;
    std::size_t m_samples = 0;
    float m_last = 0;   ///< the sample before
    float m_energy = 0; ///< of the step that is not full
};

} // namespace tabard::pipeline
