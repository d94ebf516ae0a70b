#pragma once
#include <cstdint>
#include <random>

namespace tabard::tests {

/// The chances of one performance. What came to the generator later draws from a source of its own, `more`, so that the
/// kinds that were there before stay as they were.
struct Dice {
    explicit Dice(std::uint32_t seed) : random(seed), more(seed ^ 0x9e3779b9U) {}

    double uniform(double low, double high) { return std::uniform_real_distribution<double>(low, high)(random); }
    double normal(double deviation) { return std::normal_distribution<double>(0, deviation)(random); }
    bool chance(double share) { return uniform(0, 1) < share; }
    double more_uniform(double low, double high) { return std::uniform_real_distribution<double>(low, high)(more); }
    bool more_chance(double share) { return more_uniform(0, 1) < share; }

    std::mt19937 random;
    std::mt19937 more;
};

} // namespace tabard::tests
