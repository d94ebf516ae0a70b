#pragma once
#include <optional>
#include <span>
#include <vector>

namespace tabard::pipeline {

constexpr int kMatchRate = 16000; ///< samples a second of the sound that is matched, mono

/// A stretch of the new sound that is a stretch of the old one. Seconds.
struct MatchedPiece {
    double from = 0; ///< in the new sound
    double to = 0;
    double offset = 0;                  ///< old time = new time - offset
    std::optional<double> other_offset; ///< the old sound has this passage there too, nearly alike
};

/// Which pieces of the old sound are in the new one, in the order of the new one: by fingerprints to the hop, by
/// cross-correlation to hundredths of a millisecond, boundaries to some milliseconds. Removed, moved, repeated and new
/// pieces are found; speed changes are not. Survives other levels, codecs and mild filters.
std::vector<MatchedPiece> match_sound(std::span<float const> before, std::span<float const> after);

/// How much later `after` runs than `before` (seconds) around there: generalised cross-correlation with partial
/// whitening (C. Knapp and G. Carter, 1976), refined by a parabola. `expected` is right to within 30 ms.
double measure_offset(std::span<float const> before, std::span<float const> after, double from, double to,
                      double expected);

/// The instant between `low` and `high` (new seconds) from which the new sound goes by `second` instead of `first`;
/// either may be none: new material.
double find_boundary(std::span<float const> before, std::span<float const> after, std::optional<double> first,
                     std::optional<double> second, double low, double high);

} // namespace tabard::pipeline
