#include "pipeline/listen/cue_shifts.h"

#include "pipeline/listen/onset_novelty.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace tabard::pipeline {

namespace {

constexpr double kStep = kNoveltyStep; ///< seconds between shifts
constexpr double kSounding = 0.5;      ///< of the evidence of what sounds, beside that of what begins
constexpr float kChangeOnset = 5;      ///< nats for a clear stroke where a chord changes
constexpr float kHeldOnset = 1;        ///< and where it goes on
constexpr float kStepCost = 0.35F;     ///< nats a step by which neighbours differ
constexpr float kJumpCost = 0.75F;     ///< nats at most
constexpr double kShortest = 0.06;     ///< seconds that a chord lasts at least
constexpr float kImpossible = -std::numeric_limits<float>::infinity();

} // namespace

CueShiftSearch::CueShiftSearch(ChordEvidence const& evidence, std::span<float const> novelty,
                               std::span<CueAnchor const> anchors, std::optional<std::size_t> before, double reach)
    : m_evidence(evidence),
      m_novelty(novelty),
      m_anchors(anchors),
      m_before(before),
      m_states(2 * static_cast<std::size_t>(reach / kStep) + 1)
{
    for (std::size_t n = 0; n < anchors.size(); ++n)
        m_begins.push_back(begins(n));
}

double CueShiftSearch::shift(std::size_t state) const
{
    return (static_cast<double>(state) - static_cast<double>(m_states / 2)) * kStep;
}

float CueShiftSearch::onset(double seconds) const
{
    auto const at = static_cast<std::ptrdiff_t>(std::lround(seconds / kStep));
    float most = 0;
    for (auto n = std::max<std::ptrdiff_t>(at - 1, 0); n <= std::min(at + 1, std::ssize(m_novelty) - 1); ++n)
        most = std::max(most, m_novelty[static_cast<std::size_t>(n)]);
    return certainty(most);
}

double CueShiftSearch::chord(std::size_t index, double from, double to) const
{
    return kSounding * m_evidence.chord(index, from, to) + m_evidence.strokes().chord(index, from, to);
}

std::vector<float> CueShiftSearch::begins(std::size_t n) const
{
    CueAnchor const& anchor = m_anchors[n];
    double const origin = anchor.seconds;
    bool const after_gap = n == 0 ? !m_before : m_anchors[n - 1].until.has_value();
    auto const before = n == 0 ? m_before.value_or(0) : m_anchors[n - 1].chord;
    std::vector<float> result;
    for (std::size_t state = 0; state < m_states; ++state) {
        double const at = origin + shift(state);
        double const lasted = after_gap ? kSounding * m_evidence.gap(origin, at) : chord(before, origin, at);
        double const begun = chord(anchor.chord, origin, at);
        result.push_back(static_cast<float>(lasted - begun) +
                         (anchor.change || after_gap ? kChangeOnset : kHeldOnset) * onset(at));
    }
    return result;
}

float CueShiftSearch::pause(std::size_t n, double shift) const
{
    auto const& until = m_anchors[n].until;
    if (!until)
        return 0;
    return static_cast<float>(chord(m_anchors[n].chord, *until, *until + shift) -
                              kSounding * m_evidence.gap(*until, *until + shift));
}

CueShifts CueShiftSearch::best(Allowed const& allowed) const
{
    std::vector<std::vector<std::size_t>> came_from;
    std::vector<float> scores;
    for (std::size_t n = 0; n < m_anchors.size(); ++n) {
        bool any = false;
        std::vector<char> open(m_states);
        for (std::size_t state = 0; state < m_states; ++state)
            any |= (open[state] = allowed(n, shift(state)) ? 1 : 0) != 0;
        std::vector<float> next(m_states, kImpossible);
        auto& from = came_from.emplace_back(m_states);
        for (std::size_t state = 0; state < m_states; ++state) {
            if (any && open[state] == 0)
                continue;
            float before = 0;
            if (n > 0) {
                before = kImpossible;
                double const latest = m_anchors[n].seconds + shift(state) - kShortest - m_anchors[n - 1].seconds;
                for (std::size_t other = 0; other < m_states && shift(other) <= latest; ++other) {
                    auto const steps = static_cast<float>(state > other ? state - other : other - state);
                    float const score = scores[other] - std::min(kJumpCost, kStepCost * steps);
                    if (score > before) {
                        before = score;
                        from[state] = other;
                    }
                }
            }
            next[state] = before + m_begins[n][state] + pause(n, shift(state));
        }
        scores = std::move(next);
    }
    CueShifts result;
    result.seconds.resize(m_anchors.size());
    auto const last = std::ranges::max_element(scores);
    if (last == scores.end())
        return result;
    result.score = static_cast<double>(*last);
    auto state = static_cast<std::size_t>(last - scores.begin());
    for (std::size_t n = m_anchors.size(); n-- > 0;) {
        result.seconds[n] = shift(state);
        state = came_from[n][state];
    }
    return result;
}

} // namespace tabard::pipeline
