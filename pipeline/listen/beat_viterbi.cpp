#include "pipeline/listen/beat_viterbi.h"

#include "pipeline/listen/onset_novelty.h"
#include "pipeline/listen/part_trellis.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace tabard::pipeline {

namespace {

constexpr double kStep = static_cast<double>(kNoveltyHop) / kListenRate; ///< seconds between candidates
constexpr float kChangeOnset = 5.0F;
constexpr float kBarOnset = 3.0F;
constexpr float kBeatOnset = 1.5F;
constexpr auto kRingOut = static_cast<std::size_t>(5 / kStep);

/// The length of each beat: the median of its two dozen neighbours, which one stretched bar does not move.
std::vector<double> local_lengths(std::span<double const> beats)
{
    constexpr std::ptrdiff_t kReach = 12;
    std::vector<double> plain;
    for (std::size_t n = 0; n + 1 < beats.size(); ++n)
        plain.push_back(beats[n + 1] - beats[n]);
    std::vector<double> lengths;
    for (std::ptrdiff_t n = 0; n < std::ssize(plain); ++n) {
        std::vector<double> near(plain.begin() + std::max<std::ptrdiff_t>(n - kReach, 0),
                                 plain.begin() + std::min(n + kReach + 1, std::ssize(plain)));
        auto const middle = near.begin() + std::ssize(near) / 2;
        std::nth_element(near.begin(), middle, near.end());
        lengths.push_back(*middle);
    }
    return lengths;
}

/// The chart and the recording around one part, on a grid of novelty hops from a little before it to a little after.
class BeatSearch {
public:
    BeatSearch(ChordEvidence const& evidence, std::span<float const> novelty, ExpectedPart const& part,
               std::span<double const> expected, BeatSettings const& settings)
        : m_part(part),
          m_lengths(local_lengths(expected)),
          m_deviation(settings.deviation),
          m_early_cost(static_cast<float>(-std::log(settings.early_share))),
          m_on_time_cost(static_cast<float>(-std::log(1 - settings.early_share)))
    {
        double const margin = settings.reach_beats * m_lengths.front() + 6;
        m_origin = static_cast<int>((expected.front() - margin) / kStep);
        m_size = static_cast<int>((expected.back() + margin) / kStep) - m_origin + 1;
        read_onsets(novelty);
        for (int n = 0; n < m_size; ++n)
            m_gap.push_back(static_cast<float>(evidence.gap(m_origin * kStep, (m_origin + n) * kStep)));
        for (std::size_t n = 0; n < part.spans.size(); ++n)
            for (int beat = 0; beat < part.spans[n].beats; ++beat) {
                m_span_of.push_back(n);
                m_chord_of.push_back(&chord(evidence, part.spans[n].chord));
            }
        for (std::size_t beat = 0; beat < expected.size(); ++beat)
            m_ranges.push_back(range(expected[beat],
                                     settings.reach_beats * m_lengths[std::min(beat, m_lengths.size() - 1)],
                                     static_cast<int>(beat)));
    }

    BeatTrack search()
    {
        GridRange const first = m_ranges.front();
        std::vector<float> scores;
        for (int at = first.low; at < first.high; ++at)
            scores.push_back(before_start(static_cast<std::size_t>(at)) + kChangeOnset * onset(at));
        for (std::size_t beat = 0; beat < m_lengths.size(); ++beat)
            scores = advance(beat, scores);
        for (std::size_t n = 0; n < scores.size(); ++n)
            scores[n] += after_end(static_cast<std::size_t>(m_ranges.back().low) + n);
        auto const best = std::ranges::max_element(scores);
        auto track = trace(static_cast<int>(best - scores.begin()));
        track.score = static_cast<double>(*best);
        return track;
    }

private:
    struct Move {
        std::int16_t length = 0;
        bool early = false; ///< the chord of the beat that this one leads to came half-way
    };

    /// What speaks for nothing of the chart and then the first chord, still ringing from another part, until `start`:
    /// else a part would begin as soon as its first chord is heard.
    float before_start(std::size_t start) const
    {
        auto const& ringing = *m_chord_of.front();
        float best = kImpossible;
        for (std::size_t at = start > kRingOut ? start - kRingOut : 0; at <= start; ++at)
            best = std::max(best, m_gap[at] + ringing[start] - ringing[at]);
        return best;
    }

    /// What speaks for the last chord ringing on from `end` and then nothing of the chart.
    float after_end(std::size_t end) const
    {
        auto const& ringing = *m_chord_of.back();
        float best = kImpossible;
        for (std::size_t at = end; at < std::min(m_gap.size(), end + kRingOut); ++at)
            best = std::max(best, ringing[at] - ringing[end] + m_gap.back() - m_gap[at]);
        return best;
    }

    float onset(int at) const { return m_onsets[static_cast<std::size_t>(at)]; }

    void read_onsets(std::span<float const> novelty)
    {
        m_onsets.assign(static_cast<std::size_t>(m_size), 0.0F);
        for (int n = 0; n < m_size; ++n)
            if (auto const at = m_origin + n; at >= 0 && at < std::ssize(novelty))
                m_onsets[static_cast<std::size_t>(n)] = novelty[static_cast<std::size_t>(at)];
    }

    /// Prefix sums of a chord on the search's grid.
    std::vector<float> const& chord(ChordEvidence const& evidence, HeardChord const& wanted)
    {
        auto const index = evidence.index_of(wanted);
        auto& sums = m_chords[index];
        if (sums.empty())
            for (int n = 0; n < m_size; ++n)
                sums.push_back(static_cast<float>(evidence.chord(index, m_origin * kStep, (m_origin + n) * kStep)));
        return sums;
    }

    GridRange range(double expected, double reach, int beat) const
    {
        auto const pin = std::ranges::find(m_part.pins, beat, &BeatPin::beat);
        bool const pinned = pin != m_part.pins.end();
        int const centre = static_cast<int>(std::lround((pinned ? pin->seconds : expected) / kStep)) - m_origin;
        int const steps = pinned ? 0 : static_cast<int>(reach / kStep);
        int const low = std::clamp(centre - steps, 0, m_size - 1);
        return {low, std::clamp(centre + steps + 1, low + 1, m_size)};
    }

    /// The weight of an onset on a beat, by what happens there.
    float onset_weight(std::size_t beat) const
    {
        if (beat >= m_span_of.size())
            return 0; // the end of the last beat
        if (starts_change(beat))
            return kChangeOnset;
        auto const in_bar = (static_cast<int>(beat) + m_part.first_in_bar) % m_part.beats_per_bar;
        return in_bar == 0 ? kBarOnset : kBeatOnset;
    }

    bool starts_change(std::size_t beat) const
    {
        return beat < m_span_of.size() && (beat == 0 || m_span_of[beat] != m_span_of[beat - 1]) &&
               m_part.changes(m_span_of[beat]);
    }

    std::vector<float> advance(std::size_t beat, std::vector<float> const& scores)
    {
        auto const& now = *m_chord_of[beat];
        auto const& next = *m_chord_of[std::min(beat + 1, m_chord_of.size() - 1)];
        bool const may_be_early = starts_change(beat + 1);
        float const weight = onset_weight(beat + 1);
        double const expected = m_lengths[beat] / kStep;
        int const shortest = std::max(2, static_cast<int>(0.65 * expected));
        int const longest = static_cast<int>(1.5 * expected) + 1;
        std::vector<float> cost;
        for (int length = shortest; length <= longest; ++length) {
            double const stretch = std::log(length / expected) / m_deviation;
            cost.push_back(static_cast<float>(0.5 * stretch * stretch));
        }
        GridRange const from = m_ranges[beat];
        GridRange const to = m_ranges[beat + 1];
        std::vector<float> result(static_cast<std::size_t>(to.size()), kImpossible);
        auto& moves = m_moves.emplace_back(static_cast<std::size_t>(to.size()));
        for (int end = to.low; end < to.high; ++end) {
            float& best = result[static_cast<std::size_t>(end - to.low)];
            Move& move = moves[static_cast<std::size_t>(end - to.low)];
            auto const at = static_cast<std::size_t>(end);
            float const on_time = weight * onset(end) - (may_be_early ? m_on_time_cost : 0.0F);
            float const after_early = kBeatOnset * onset(end) - m_early_cost;
            for (int length = std::max(shortest, end - from.high + 1); length <= std::min(longest, end - from.low);
                 ++length) {
                auto const start = static_cast<std::size_t>(end - length);
                float const base = scores[start - static_cast<std::size_t>(from.low)] -
                                   cost[static_cast<std::size_t>(length - shortest)];
                if (float const score = base + now[at] - now[start] + on_time; score > best) {
                    best = score;
                    move = {static_cast<std::int16_t>(length), false};
                }
                if (!may_be_early)
                    continue;
                std::size_t const half = start + static_cast<std::size_t>(length / 2);
                if (float const score = base + now[half] - now[start] + next[at] - next[half] +
                                        kChangeOnset * onset(static_cast<int>(half)) + after_early;
                    score > best) {
                    best = score;
                    move = {static_cast<std::int16_t>(length), true};
                }
            }
        }
        return result;
    }

    BeatTrack trace(int last) const
    {
        BeatTrack track;
        track.seconds.resize(m_ranges.size());
        track.early.resize(m_part.spans.size());
        int at = m_ranges.back().low + last;
        for (std::size_t beat = m_ranges.size(); beat-- > 0;) {
            track.seconds[beat] = (m_origin + at) * kStep;
            if (beat == 0)
                break;
            Move const move = m_moves[beat - 1][static_cast<std::size_t>(at - m_ranges[beat].low)];
            if (move.early)
                track.early[m_span_of[beat]] = 1;
            at -= move.length;
        }
        return track;
    }

    ExpectedPart const& m_part;
    std::vector<double> m_lengths;
    double m_deviation;
    float m_early_cost;   ///< nats for a change half a beat early
    float m_on_time_cost; ///< and for one on its beat
    int m_origin = 0;     ///< the grid's first step, in novelty hops of the recording
    int m_size = 0;
    std::vector<float> m_onsets;
    std::vector<float> m_gap; ///< prefix sums
    std::map<std::size_t, std::vector<float>> m_chords;
    std::vector<std::size_t> m_span_of; ///< a beat
    std::vector<std::vector<float> const*> m_chord_of;
    std::vector<GridRange> m_ranges;
    std::vector<std::vector<Move>> m_moves;
};

} // namespace

std::vector<double> beats_between(ExpectedPart const& part, std::vector<double> const& boundaries)
{
    std::vector<double> beats;
    for (std::size_t n = 0; n < part.spans.size(); ++n)
        for (int beat = 0; beat < part.spans[n].beats; ++beat)
            beats.push_back(
                std::lerp(boundaries[n], boundaries[n + 1], static_cast<double>(beat) / part.spans[n].beats));
    beats.push_back(boundaries.back());
    return beats;
}

BeatTrack track_beats(ChordEvidence const& evidence, std::span<float const> novelty, ExpectedPart const& part,
                      std::span<double const> expected, BeatSettings const& settings)
{
    return BeatSearch(evidence, novelty, part, expected, settings).search();
}

} // namespace tabard::pipeline
