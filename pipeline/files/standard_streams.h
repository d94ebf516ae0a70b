#pragma once
#include <cstddef>

namespace tabard::pipeline {

/// Gives each standard stream that the caller closed a descriptor that can only fail; main does this before anything
/// opens a file. Otherwise the first file that is opened takes its number, and messages are written into a film.
/// Results to a closed standard output then count as not written.
void fill_closed_standard_streams();

/// How many columns the terminal at standard output has; 0 where it is none, or one that does not say.
std::size_t output_columns();

} // namespace tabard::pipeline
