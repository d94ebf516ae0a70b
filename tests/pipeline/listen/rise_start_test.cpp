#include "pipeline/listen/rise_energy.h"
#include "pipeline/listen/rise_start.h"
#include "pipeline/sound/short_time_spectrum.h"

#include <cmath>
#include <vector>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

constexpr double kHop = static_cast<double>(kRiseHop) / kListenRate; ///< seconds

/// Energies of four seconds in which strings of these loudnesses are struck, each dying away within a tenth of a
/// second, over a quiet noise that is never twice the same.
struct String {
    double seconds;
    double energy;
};
std::vector<float> energies_of(std::vector<String> const& strings)
{
    std::vector<float> rises;
    for (int n = 0; n < static_cast<int>(4 / kHop); ++n) {
        double energy = 0.01 * (1 + 0.5 * std::sin(1.7 * n));
        for (String const& one : strings)
            if (double const since = n * kHop - one.seconds; since > -kHop / 2)
                energy += one.energy * std::exp(-since / 0.1);
        rises.push_back(static_cast<float>(energy));
    }
    return rises;
}

TEST(RiseStart, IsWhereAStrokeBeginsWhateverSideOfItOneLooksFrom)
{
    auto const rises = energies_of({{2, 1}});
    for (double const near : {1.99, 2.0, 2.02, 2.04})
        EXPECT_NEAR(start_of_rise(rises, near), 2, 0.005) << near;
}

// A strum over six strings in 40 ms, bass first and softest: a viewer hears the first string, and the novelty peaks at
// the last.
TEST(RiseStart, OfASlowStrumIsItsFirstString)
{
    std::vector<String> strings;
    for (int n = 0; n < 6; ++n)
        strings.push_back({2 + 0.008 * n, 0.2 + 0.16 * n});
    EXPECT_NEAR(start_of_rise(energies_of(strings), 2.04), 2, 0.005);
}

// Each stroke is looked for 30 ms too early and played up to 6 ms off; two in ten are not there at all.
TEST(RiseStart, OfManyStrokesIsWhatMostOfThemHaveInCommon)
{
    std::vector<double> const played{-0.006, 0.003, 0.000, -0.002, 0.005, 0.001, -0.003, 0.002};
    std::vector<String> strings;
    std::vector<double> near;
    for (std::size_t n = 0; n < played.size(); ++n) {
        double const beat = 0.4 + 0.3 * static_cast<double>(n);
        strings.push_back({beat + played[n], 1});
        near.push_back(beat - 0.030);
    }
    near.push_back(3.2);
    near.push_back(3.5);
    auto const start = common_start(energies_of(strings), near);
    ASSERT_TRUE(start);
    EXPECT_NEAR(*start, 0.030, 0.005);
}

TEST(RiseStart, OfStrokesInSilenceIsNone)
{
    std::vector<float> const nothing(2000, 0.0F);
    EXPECT_FALSE(common_start(nothing, std::vector<double>{0.5, 1, 1.5}));
    EXPECT_FALSE(common_start(nothing, {}));
}

} // namespace
} // namespace tabard::pipeline
