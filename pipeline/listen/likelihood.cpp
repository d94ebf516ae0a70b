#include "pipeline/listen/likelihood.h"

#include <array>
#include <cmath>

namespace tabard::pipeline {

namespace {

/// What a sign adds to the logarithm of the odds.
struct Weight {
    double each = 0;  ///< for one of its units
    double usual = 0; ///< its median in parts that were right
};

// Fitted by tests/bench/fit_confidence to the sections of listen_bench --tune --songs 2, all kinds.
constexpr double kBias = -0.99;
constexpr std::array<Weight, kSignNames.size()> kWeights{{
    {1.44, 1},       // written
    {0.142, 10},     // phase
    {0.407, 6},      // path
    {-3.15, 0},      // again
    {-9.65, 0.0188}, // interval
}};

} // namespace

Likelihood likelihood(PartSigns const& signs)
{
    Likelihood result;
    double odds = kBias;
    double most = 0;
    for (std::size_t n = 0; n < kWeights.size(); ++n) {
        auto const [each, usual] = kWeights[n];
        odds += each * signs.values[n];
        if (double const against = each * (usual - signs.values[n]); against > most) {
            most = against;
            result.against = static_cast<Sign>(n);
        }
    }
    result.share = 1 / (1 + std::exp(-odds));
    return result;
}

} // namespace tabard::pipeline
