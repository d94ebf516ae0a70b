#include "pipeline/sound/real_fft.h"

#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

std::vector<float> noise(int size)
{
    std::mt19937 random(7);
    std::normal_distribution<float> normal;
    std::vector<float> samples(static_cast<std::size_t>(size));
    for (float& sample : samples)
        sample = normal(random);
    return samples;
}

// The definition of the transform, summed in double precision.
std::complex<double> bin_by_definition(std::vector<float> const& samples, int bin)
{
    std::complex<double> sum = 0;
    for (std::size_t n = 0; n < samples.size(); ++n)
        sum += static_cast<double>(samples[n]) * std::polar(1.0, -2 * std::numbers::pi * bin * static_cast<double>(n) /
                                                                     static_cast<double>(samples.size()));
    return sum;
}

TEST(RealFft, EveryBinIsTheSumOfTheDefinition)
{
    for (int const size : {4, 64, 1024}) {
        auto const samples = noise(size);
        RealFft fft(size);
        auto const bins = fft.forward(samples);
        ASSERT_EQ(bins.size(), static_cast<std::size_t>(size / 2 + 1));
        for (int bin = 0; bin <= size / 2; ++bin)
            EXPECT_LT(
                std::abs(std::complex<double>(bins[static_cast<std::size_t>(bin)]) - bin_by_definition(samples, bin)),
                1e-5 * size)
                << size << " " << bin;
    }
}

TEST(RealFft, InverseGivesTheSignalTimesItsLength)
{
    int const size = 2048;
    auto const samples = noise(size);
    RealFft fft(size);
    auto const forward = fft.forward(samples);
    std::vector<std::complex<float>> const bins(forward.begin(), forward.end());
    auto const back = fft.inverse(bins);
    for (std::size_t n = 0; n < samples.size(); ++n)
        ASSERT_NEAR(back[n] / static_cast<float>(size), samples[n], 1e-4) << n;
}

} // namespace
} // namespace tabard::pipeline
