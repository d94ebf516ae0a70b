#pragma once
#include "sample_media/make/score.h"

#include <array>

namespace tabard::lantern {

/// One finger of the fretting hand.
struct Finger {
    double fret = 1;   ///< where it is along the neck, counted from the capo
    double string = 0; ///< 0 lowest .. 5 highest
    double down = 0;   ///< 1 presses, 0 hovers
    double across = 0; ///< how many strings below `string` it covers too (a barre)
};

/// The body at one instant.
struct Pose {
    std::array<Finger, 4> fingers;   ///< index to little finger
    double hand_fret = 2;            ///< where the fretting hand's middle is
    double strum = -1;               ///< playing hand across the strings: -1 above them, 1 below
    double lift = 0;                 ///< playing hand away from the strings: 1 when it only passes
    double flat = 0;                 ///< palm laid on the strings
    double pick = 0;                 ///< fingers plucking: 1 at the moment a string is let go
    bool picking = false;            ///< plays with single fingers
    double wave = 0;                 ///< playing hand raised for a greeting: 0 .. 1
    double wave_turn = 0;            ///< and turned left and right: -1 .. 1
    double nod = 0;                  ///< head on the beat: 0 .. 1
    double breath = 0;               ///< -1 .. 1
    double blink = 0;                ///< 1: eyes closed
    double smile = 0;                ///< 0 .. 1
    double look = 0;                 ///< eyes: 0 at the camera, 1 at the fretting hand
    std::array<double, 6> ringing{}; ///< how much each string still moves
};

/// Where everything is at `ms`. The fretting hand is in place when its chord begins; the playing hand crosses the
/// strings as they sound.
Pose pose_at(Score const& score, int ms);

} // namespace tabard::lantern
