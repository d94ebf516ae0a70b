#pragma once
#include "pipeline/match/matched_piece.h"
#include "pipeline/match/picture_prints.h"

#include <optional>
#include <span>
#include <vector>

namespace tabard::pipeline {

constexpr double kLongestDelay = 0.5; ///< seconds to each side that are tried
constexpr double kDelayStep = 0.01;   ///< seconds

/// How well the movement in a new film's pictures goes with that in the old one's, by how much its sound would have to
/// be late for it: the correlation of what changes from picture to picture, cell by cell. What stands still, and how
/// bright it is, counts for nothing; places are added up.
class DelayCurve {
public:
    /// Adds a place: pictures of the new film, and those of the old one that its sound leads to, kLongestDelay more at
    /// either end.
    void add(std::span<TimedPrint const> now, std::span<TimedPrint const> old, MatchedPiece const& piece);
    void add(DelayCurve const& other);

    /// Seconds by which the sound is late, to about a quarter of a frame; none where too little moves, or where it goes
    /// as well with another delay, as a hand that strums evenly does. `frame`: seconds a picture of the new film.
    std::optional<double> delay(double frame) const;

private:
    static constexpr std::size_t kSize = static_cast<std::size_t>(2 * kLongestDelay / kDelayStep + 1.5);
    struct Sums {
        double both = 0;
        double now = 0;
        double old = 0;
    };
    std::vector<Sums> m_sums = std::vector<Sums>(kSize);
    std::size_t m_pictures = 0;
};

} // namespace tabard::pipeline
