#include "pipeline/listen/rise_energy.h"

#include <algorithm>
#include <span>
#include <vector>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

std::vector<float> measured(std::span<float const> sound, std::size_t block)
{
    RiseMeter meter;
    for (std::size_t at = 0; at < sound.size(); at += block)
        meter.add(sound.subspan(at, std::min(block, sound.size() - at)));
    return meter.finish();
}

// A single sample of 1 at number 40: differences of 1 and -0.9, both in the second step of 32.
TEST(RiseEnergy, AClickLiesInItsStep)
{
    std::vector<float> sound(100, 0.0F);
    sound[40] = 1;
    auto const energies = measured(sound, sound.size());
    ASSERT_EQ(energies.size(), 4U); // three whole steps and four samples
    EXPECT_FLOAT_EQ(energies[0], 0);
    EXPECT_FLOAT_EQ(energies[1], 1 + 0.9F * 0.9F);
    EXPECT_FLOAT_EQ(energies[2], 0);
}

// A sound that begins in full is not struck there: what came before it is unknown.
TEST(RiseEnergy, TheFirstSampleIsNoRise)
{
    std::vector<float> const sound(32, 1.0F);
    EXPECT_NEAR(measured(sound, sound.size()).front(), 31 * 0.01, 1e-5); // 1 - 0.9, squared, 31 times
}

TEST(RiseEnergy, HowTheSoundIsCutIntoBlocksDoesNotMatter)
{
    std::vector<float> sound(1000);
    for (std::size_t n = 0; n < sound.size(); ++n)
        sound[n] = static_cast<float>(static_cast<int>(n * 7919 % 201) - 100) / 100;
    auto const whole = measured(sound, sound.size());
    for (std::size_t const block : {1U, 31U, 32U, 33U, 500U})
        EXPECT_EQ(measured(sound, block), whole) << block;
}

} // namespace
} // namespace tabard::pipeline
