#pragma once
#include "pipeline/time/time.h"

#include <algorithm>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// A stretch of time over which one layer of the scene shows one thing. What the numbers mean is up to the layer.
struct SlotPiece {
    Time in{0};
    Time out{0};
    int what = 0;
    int detail = 0;
    int count = 0;
};

/// One layer of the scene over the whole film: its pieces, and how it fades where nothing stands before or after them.
/// A piece that another follows at once gives way without a fade, so a change of chord does not flicker.
class Slot {
public:
    Slot() = default;
    /// Sorts the pieces; where two overlap the later one cuts the earlier one short.
    explicit Slot(std::vector<SlotPiece> pieces);

    SlotPiece const* at(Time time) const; ///< null where the layer is empty
    /// Of kFullLevel, for a time at which there is a piece.
    int level_at(Time time) const;
    void add_change_instants(std::vector<Time>& instants) const;

private:
    struct Run {
        Time in;
        Time out;
    };
    std::vector<SlotPiece> m_pieces;
    std::vector<Run> m_runs; ///< of pieces without a gap between them
};

/// A fade has three steps of this length below the full level.
constexpr Time kFadeStep{kFlicksPerSecond / 20};

} // namespace tabard::pipeline
