#pragma once
#include <vector>

namespace tabard::pipeline {

/// Even steps in which strokes go, seconds: those of the quickest, or several of them. `strength` as Strokes has it.
std::vector<double> even_steps(std::vector<float> const& strength);

/// When each step of about `seconds` is, since the first value: those that lie on strokes and follow one another evenly
/// (D. Ellis, Journal of New Music Research 36, 2007).
std::vector<double> follow_steps(std::vector<float> const& strength, double seconds);

/// Where instants lie among the steps of a grid of two steps or more: 3.5 is half-way from number 3 to 4.
std::vector<double> places_among(std::vector<double> const& grid, std::vector<double> const& instants);

} // namespace tabard::pipeline
