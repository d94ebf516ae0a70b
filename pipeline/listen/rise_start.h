#pragma once
#include <optional>
#include <span>

namespace tabard::pipeline {

/// Where the energy starts to rise, near the peak of a stroke's novelty, in seconds: the instant before and after which
/// its mean differs most clearly (the generalised likelihood ratio of two exponential distributions: A. Willsky and H.
/// Jones, IEEE Transactions on Automatic Control 21, 1976). The strings of a slow strum are all behind it, since after
/// the first one the others add less and less to the ratio. `rises`: as Hearing has them.
double start_of_rise(std::span<float const> rises, double near);

/// By how many seconds most of many strokes start after the instants `near` which they were looked for at, each within
/// 87 ms: what their likelihoods of starting have in common, where a stroke says the more the clearer it starts and one
/// that starts elsewhere says nothing. None where nothing rises.
std::optional<double> common_start(std::span<float const> rises, std::span<double const> near);

} // namespace tabard::pipeline
