#pragma once
#include "sample_media/make/score.h"

#include <filesystem>

namespace tabard::lantern {

/// What the microphone hears: left and right in turn, kSampleRate, -1 .. 1, never clipped.
std::vector<float> sound(Score const& score);

/// Writes 16-bit stereo. False where the disk said no.
bool write_wav(std::filesystem::path const& path, std::vector<float> const& stereo);

} // namespace tabard::lantern
