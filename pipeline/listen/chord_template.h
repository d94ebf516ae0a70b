#pragma once
#include "pipeline/listen/chroma.h"
#include "pipeline/listen/expected_music.h"

namespace tabard::pipeline {

/// The chroma that a chord should give, each half of unit length. Tones carry their first six harmonics, each 0.6 of
/// the one before (the idea of E. Gomez's harmonic pitch class profile, 2006); what is added to a triad counts 0.7.
Chroma chord_template(HeardChord const& chord);

constexpr float kBassShare = 0.35F; ///< of a likeness

/// How alike a frame and a template are, 0 to 1: the bass counts kBassShare, the treble the rest.
float likeness(Chroma const& frame, Chroma const& chord);

/// The 12 major and 12 minor triads, as a measure of how any chord fits.
std::array<HeardChord, 24> const& plain_triads();

/// The same chord `semitones` higher.
HeardChord transposed(HeardChord chord, int semitones);

} // namespace tabard::pipeline
