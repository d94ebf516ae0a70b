#pragma once
#include <cstdint>

namespace tabard::pipeline {

// Thousandths of a pulse a minute, as Tempo. No song lies outside (metronomes go from 40 to 208).
constexpr std::int64_t kSlowestTempo = 30'000;
constexpr std::int64_t kFastestTempo = 260'000;

} // namespace tabard::pipeline
