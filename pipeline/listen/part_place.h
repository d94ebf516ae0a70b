#pragma once
#include "pipeline/listen/expected_music.h"

#include <optional>

namespace tabard::pipeline {

/// The author's place of a part: its first beat as the first pin has it, or the rough time.
std::optional<double> place_of(ExpectedPart const& part, double beat_seconds);

/// The expected length of `beats` beats from `first_beat` on: pins on both sides say it exactly.
double expected_seconds(ExpectedPart const& part, int first_beat, int beats, double beat_seconds);

/// What speaks against beginning at `seconds`, in nats: 0 or less.
float place_score(std::optional<double> place, double deviation, double seconds);

} // namespace tabard::pipeline
