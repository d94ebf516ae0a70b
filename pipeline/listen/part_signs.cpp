#include "pipeline/listen/part_signs.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace tabard::pipeline {

namespace {

bool is_left(AlignedPart const& found, int first_beat, int end_beat)
{
    return std::ranges::any_of(found.deviations, [&](Deviation const& deviation) {
        return deviation.beat <= end_beat && deviation.next_beat >= first_beat && deviation.beat > 0;
    });
}

} // namespace

OddInterval odd_interval(ExpectedPart const& part, AlignedPart const& found)
{
    struct Piece {
        int first;
        int end;
        double beat; ///< seconds
    };
    std::vector<Piece> pieces;
    int first = 0;
    for (std::size_t n = 1; n <= part.spans.size(); ++n) {
        int const end = n < part.spans.size() ? part.spans[n].first_beat : part.beats();
        if (n < part.spans.size() && (!part.changes(n) || end - first < 2))
            continue;
        double const seconds =
            found.beats[static_cast<std::size_t>(end)] - found.beats[static_cast<std::size_t>(first)];
        if (!is_left(found, first, end))
            pieces.push_back({first, end, seconds / (end - first)});
        first = end;
    }
    if (pieces.size() < 3 || part.pins.size() > 1)
        return {};
    auto const middle = pieces.begin() + std::ssize(pieces) / 2;
    std::ranges::nth_element(pieces, middle, {}, &Piece::beat);
    double const usual = middle->beat;
    auto const worst = *std::ranges::max_element(
        pieces, {}, [&](Piece const& piece) { return std::abs(std::log(piece.beat / usual)); });
    return {worst.first, worst.end, usual / worst.beat};
}

double times_as_fast(ExpectedPart const& part, AlignedPart const& found)
{
    return part.tempo_known ? part.beat_seconds / mean_beat(found) : 1;
}

PartSigns signs_of(ExpectedPart const& part, AlignedPart const& found, SecondReading const& second)
{
    PartSigns signs;
    signs[Sign::written] = std::clamp(found.confidence, 0.5, 1.0);
    signs[Sign::phase] = std::clamp(found.phase.nats, 0.0, 10.0);
    signs[Sign::path] = std::clamp(found.path.nats, -2.0, 6.0);
    signs[Sign::again] = second.off.empty() ? 0 : 1;
    signs[Sign::interval] = std::min(std::abs(std::log(odd_interval(part, found).faster)), 0.15);
    return signs;
}

} // namespace tabard::pipeline
