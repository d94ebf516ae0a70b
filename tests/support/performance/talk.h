#pragma once
#include <cstdint>
#include <string>
#include <vector>

namespace tabard::tests {

/// Sentences read by espeak-ng (invented talk of a lesson), mono at kSampleRate. Empty without the program.
std::vector<float> talk(std::string const& voice, int words_a_minute);

/// Sentences that a person spoke (Debian package asterisk-core-sounds-en-wav), another choice for each seed. Empty
/// without the package.
std::vector<float> recorded_talk(std::uint32_t seed);

} // namespace tabard::tests
