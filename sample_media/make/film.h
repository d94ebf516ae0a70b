#pragma once
#include "sample_media/make/score.h"

#include <filesystem>

namespace tabard::lantern {

constexpr int kWidth = 1280;
constexpr int kHeight = 720;
constexpr int kFramesPerSecond = 25;

/// Draws the film, and encodes it with `wav` by the ffmpeg program. The score's digest is kept in the file's comment.
/// False where ffmpeg could not be run or failed; it has then said why on stderr.
bool write_film(Score const& score, std::filesystem::path const& wav, std::filesystem::path const& film);

/// One picture of the film as PNG.
bool write_still(Score const& score, int ms, std::filesystem::path const& png);

} // namespace tabard::lantern
