#include "pipeline/timeline/slot.h"

#include "overlay/drawing/scene.h"

namespace tabard::pipeline {
namespace {

constexpr int kFadeSteps = 3;
/// What is on screen for less time than this comes and goes at once.
constexpr Time kShortestFaded = 4 * kFadeSteps * kFadeStep;

/// The level `since` after the start of a fade in.
int rising(Time since)
{
    std::int64_t const step = since / kFadeStep;
    return step >= kFadeSteps ? overlay::kFullLevel
                              : static_cast<int>(step + 1) * overlay::kFullLevel / (kFadeSteps + 1);
}

} // namespace

Slot::Slot(std::vector<SlotPiece> pieces) : m_pieces(std::move(pieces))
{
    std::ranges::stable_sort(m_pieces, {}, &SlotPiece::in);
    for (std::size_t i = 0; i + 1 < m_pieces.size(); ++i)
        m_pieces[i].out = std::min(m_pieces[i].out, m_pieces[i + 1].in);
    std::erase_if(m_pieces, [](SlotPiece const& piece) { return piece.out <= piece.in; });
    for (SlotPiece const& piece : m_pieces) {
        if (!m_runs.empty() && m_runs.back().out == piece.in)
            m_runs.back().out = piece.out;
        else
            m_runs.push_back({piece.in, piece.out});
    }
}

SlotPiece const* Slot::at(Time time) const
{
    auto const after = std::ranges::upper_bound(m_pieces, time, {}, &SlotPiece::in);
    if (after == m_pieces.begin() || time >= std::prev(after)->out)
        return nullptr;
    return &*std::prev(after);
}

int Slot::level_at(Time time) const
{
    Run const& run = *std::prev(std::ranges::upper_bound(m_runs, time, {}, &Run::in));
    if (run.out - run.in < kShortestFaded)
        return overlay::kFullLevel;
    return std::min(rising(time - run.in), rising(run.out - time - Time{1}));
}

void Slot::add_change_instants(std::vector<Time>& instants) const
{
    for (SlotPiece const& piece : m_pieces)
        instants.insert(instants.end(), {piece.in, piece.out});
    for (Run const& run : m_runs)
        for (int step = 1; step <= kFadeSteps && run.out - run.in >= kShortestFaded; ++step)
            instants.insert(instants.end(), {run.in + step * kFadeStep, run.out - step * kFadeStep});
}

} // namespace tabard::pipeline
