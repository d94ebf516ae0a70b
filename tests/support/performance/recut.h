#pragma once
#include "pipeline/match/match_sound.h"

#include <cstdint>
#include <vector>

namespace tabard::tests {

/// `seconds` of an invented lesson's sound at pipeline::kMatchRate: playing, talk, quiet.
std::vector<float> lesson_sound(double seconds, std::uint32_t seed);

/// `seconds` of an invented song at pipeline::kMatchRate, played through on another guitar, without talk.
std::vector<float> invented_music(double seconds, std::uint32_t seed);

/// A stretch of the old film; before 0: as many seconds of new material as its length.
struct CutPiece {
    double from = 0;
    double to = 0;
    pipeline::Playback playback{};
    bool is_new() const { return from < 0; }
    double length() const { return (is_new() ? to : to - from) / playback.speed; } ///< in the new film
};

/// The same cut of a film that was then played at another speed as a whole.
std::vector<CutPiece> at_speed(std::vector<CutPiece> cut, pipeline::Playback playback);

/// The film cut again, hard, with fresh noise at -55 dB and another level.
std::vector<float> recut(std::vector<float> const& film, std::vector<CutPiece> const& cut, std::uint32_t seed,
                         double gain);

/// How what was matched compares with how the film was cut. What all pieces of a film are late by is a delay that a
/// filter makes, and no error.
struct RecutScore {
    int pieces = 0; ///< true ones of old material, 3 s and more
    int found = 0;
    int made = 0;                        ///< all that were matched
    int wrong = 0;                       ///< matched pieces that are no true one
    double kept = 0;                     ///< seconds of the new film that are old
    double covered = 0;                  ///< of these, in pieces that are right
    double strange = 0;                  ///< in pieces that are not
    std::vector<double> offset_errors;   ///< seconds
    std::vector<double> boundary_errors; ///< seconds
    std::vector<double> delays;          ///< seconds, a film
    std::vector<double> speed_errors;    ///< share, a piece

    void add(std::vector<CutPiece> const& cut, std::vector<pipeline::MatchedPiece> const& matched);
    double worst_offset() const;
    double boundary_quantile(double share) const;
};

} // namespace tabard::tests
