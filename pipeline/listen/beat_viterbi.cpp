#include "pipeline/listen/beat_viterbi.h"

#include "pipeline/listen/onset_novelty.h"
#include "pipeline/listen/part_trellis.h"
#include "pipeline/listen/stroke_marks.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>

namespace tabard::pipeline {

namespace {

constexpr double kStep = kNoveltyStep; ///< seconds between candidates
constexpr float kChangeOnset = 5.0F;   ///< nats for a sure onset where a chord changes
constexpr float kBarOnset = 3.0F;      ///< and on the first beat of a bar
constexpr float kBeatOnset = 1.5F;     ///< and on another
constexpr float kChangeBass = 2.0F;    ///< nats for one of the bass strings there
constexpr float kBarBass = 1.0F;
constexpr float kBeatBass = 0.5F;
constexpr float kOutside = 1.5F; ///< nats against a sure onset of the part's chord before or after the part
constexpr float kStroke = 1.0F;  ///< nats for a stroke of the pattern, or against one where the hand passes
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
    BeatSearch(Hearing const& heard, ChordEvidence const& evidence, ExpectedPart const& part,
               std::span<double const> expected, BeatSettings const& settings)
        : m_part(part),
          m_marks(stroke_marks(part.strokes)),
          m_lengths(local_lengths(expected)),
          m_deviation(settings.deviation),
          m_bass_first(settings.bass_first),
          m_early_cost(static_cast<float>(-std::log(settings.early_share))),
          m_on_time_cost(static_cast<float>(-std::log(1 - settings.early_share)))
    {
        double const margin = settings.reach_beats * m_lengths.front() + 6;
        m_origin = static_cast<int>((expected.front() - margin) / kStep);
        m_size = static_cast<int>((expected.back() + margin) / kStep) - m_origin + 1;
        m_onsets = read(heard.novelty);
        m_bass = read(heard.bass_novelty);
        widen_onsets();
        sum_strokes();
        for (int n = 0; n < m_size; ++n)
            m_gap.push_back(static_cast<float>(evidence.gap(m_origin * kStep, (m_origin + n) * kStep)));
        for (std::size_t n = 0; n < part.spans.size(); ++n)
            for (int beat = 0; beat < part.spans[n].beats; ++beat) {
                m_span_of.push_back(n);
                m_chord_of.push_back(&chord(evidence, part.spans[n].chord));
                m_treble_of.push_back(&treble(evidence, part.spans[n].chord));
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
            scores.push_back(before_start(static_cast<std::size_t>(at)) + on_beat(0, at));
        for (std::size_t beat = 0; beat < m_lengths.size(); ++beat)
            scores = advance(beat, scores);
        for (std::size_t n = 0; n < scores.size(); ++n)
            scores[n] += after_end(static_cast<std::size_t>(m_ranges.back().low) + n);
        auto const best = std::ranges::max_element(scores);
        auto track = trace(static_cast<int>(best - scores.begin()));
        track.score = static_cast<double>(*best - m_gap.back());
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
            best = std::max(best, m_gap[at] + ringing[start] - ringing[at] - kOutside * strokes_between(at, start));
        return best;
    }

    /// What speaks for the last chord ringing on from `end` and then nothing of the chart.
    float after_end(std::size_t end) const
    {
        auto const& ringing = *m_chord_of.back();
        float best = kImpossible;
        for (std::size_t at = end; at < std::min(m_gap.size(), end + kRingOut); ++at)
            best = std::max(best, ringing[at] - ringing[end] + m_gap.back() - m_gap[at] -
                                      kOutside * strokes_between(end, at));
        return best;
    }

    float onset(int at) const { return m_onsets[static_cast<std::size_t>(at)]; }

    /// How sure an onset is at each step of the grid.
    std::vector<float> read(std::span<float const> novelty) const
    {
        std::vector<float> onsets(static_cast<std::size_t>(m_size));
        for (int n = 0; n < m_size; ++n)
            if (auto const at = m_origin + n; at >= 0 && at < std::ssize(novelty))
                onsets[static_cast<std::size_t>(n)] = certainty(novelty[static_cast<std::size_t>(at)]);
        return onsets;
    }

    /// Strokes between the beats are less even than those on them.
    void widen_onsets()
    {
        constexpr std::ptrdiff_t kUneven = 2;
        for (std::ptrdiff_t n = 0; n < std::ssize(m_onsets); ++n)
            m_wide_onsets.push_back(
                *std::max_element(m_onsets.begin() + std::max<std::ptrdiff_t>(n - kUneven, 0),
                                  m_onsets.begin() + std::min(n + kUneven + 1, std::ssize(m_onsets))));
    }

    /// Prefix sums of the onsets' peaks.
    void sum_strokes()
    {
        m_strokes.push_back(0);
        for (std::size_t n = 0; n < m_onsets.size(); ++n) {
            bool const peak = n > 0 && n + 1 < m_onsets.size() && m_onsets[n] > m_onsets[n - 1] &&
                              m_onsets[n] >= m_onsets[n + 1] && m_onsets[n] > 0.5F;
            m_strokes.push_back(m_strokes.back() + (peak ? m_onsets[n] : 0.0F));
        }
    }

    /// How many sure onsets lie between two steps, but for those at the steps.
    float strokes_between(std::size_t from, std::size_t to) const
    {
        constexpr std::size_t kSame = 5; // 58 ms
        return to > from + 2 * kSame ? m_strokes[to - kSame] - m_strokes[from + kSame] : 0.0F;
    }

    /// Prefix sums of the treble's share of a chord.
    std::vector<float> const& treble(ChordEvidence const& evidence, HeardChord const& wanted)
    {
        auto const index = evidence.index_of(wanted);
        auto& sums = m_trebles[index];
        if (sums.empty()) {
            sums = evidence.bass_sums(index, m_origin * kStep, kStep, m_size);
            std::ranges::transform(chord(evidence, wanted), sums, sums.begin(), std::minus{});
        }
        return sums;
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

    BeatMarks const& marks(std::size_t beat) const { return marks_of(m_marks, m_part, static_cast<int>(beat)); }

    bool starts_bar(std::size_t beat) const
    {
        return (static_cast<int>(beat) + m_part.first_in_bar) % m_part.beats_per_bar == 0;
    }

    /// What an onset, or none, at a step says for a beat there.
    float on_beat(std::size_t beat, int at) const
    {
        if (beat >= m_span_of.size())
            return 0; // the end of the last beat
        BeatMarks const& pattern = marks(beat);
        if (pattern.known && pattern.weight <= 0)
            return -kStroke * onset(at);
        float const bass = m_bass[static_cast<std::size_t>(at)];
        if (starts_change(beat))
            return kChangeOnset * onset(at) + kChangeBass * bass;
        if (starts_bar(beat))
            return kBarOnset * onset(at) + kBarBass * bass;
        float const weight = pattern.known ? static_cast<float>(pattern.weight) : 1.0F;
        return weight * kBeatOnset * onset(at) + kBeatBass * bass;
    }

    /// What the strokes and rests inside a beat say.
    float inside(BeatMarks const& pattern, std::size_t start, int length) const
    {
        float sum = 0;
        for (StrokeMark const& mark : pattern.inside)
            sum += static_cast<float>(mark.weight) *
                   m_wide_onsets[start + static_cast<std::size_t>(std::lround(mark.share * length))];
        return kStroke * sum;
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
        BeatMarks const& pattern = marks(beat);
        // Until a stroke rings, a new chord need not sound.
        bool const changed = starts_change(beat) && beat > 0;
        auto const& before = *m_chord_of[changed ? beat - 1 : beat];
        double const waiting = changed ? std::min(pattern.rings_after, 1.0) : 0.0;
        // And until one rings over all strings, only its bass must.
        auto const& treble = *m_treble_of[beat];
        auto const& treble_before = *m_treble_of[changed ? beat - 1 : beat];
        double const filling = !changed || waiting > 0 ? 0.0
                               : pattern.known         ? std::min(pattern.full_after, 1.0)
                               : m_bass_first          ? 1.0
                                                       : 0.0;
        bool const may_be_early = starts_change(beat + 1);
        bool const may_wait = may_be_early && marks(beat + 1).rings_after > 0;
        float const early_cost = may_wait ? 0.0F : m_early_cost;
        float const early_onset = may_wait ? 0.0F : kChangeOnset; // of a pattern every stroke counts as it is
        float const on_time_cost = may_be_early && !may_wait ? m_on_time_cost : 0.0F;
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
            float const on_time = on_beat(beat + 1, end) - on_time_cost;
            float const after_early = (may_wait ? -kStroke : kBeatOnset) * onset(end) - early_cost;
            for (int length = std::max(shortest, end - from.high + 1); length <= std::min(longest, end - from.low);
                 ++length) {
                auto const start = static_cast<std::size_t>(end - length);
                float base = scores[start - static_cast<std::size_t>(from.low)] -
                             cost[static_cast<std::size_t>(length - shortest)] + inside(pattern, start, length);
                if (waiting > 0) {
                    std::size_t const rings = start + static_cast<std::size_t>(waiting * length);
                    base += std::max(0.0F, before[rings] - before[start] - now[rings] + now[start]);
                }
                if (filling > 0) {
                    std::size_t const full = start + static_cast<std::size_t>(filling * length);
                    base += std::max(0.0F, treble_before[full] - treble_before[start] - treble[full] + treble[start]);
                }
                if (float const score = base + now[at] - now[start] + on_time; score > best) {
                    best = score;
                    move = {static_cast<std::int16_t>(length), false};
                }
                if (!may_be_early)
                    continue;
                std::size_t const half = start + static_cast<std::size_t>(length / 2);
                if (float const score = base + now[half] - now[start] + next[at] - next[half] +
                                        early_onset * onset(static_cast<int>(half)) + after_early;
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
    std::vector<BeatMarks> m_marks; ///< a beat of the strum pattern
    std::vector<double> m_lengths;
    double m_deviation;
    bool m_bass_first;
    float m_early_cost;   ///< nats for a change half a beat early
    float m_on_time_cost; ///< and for one on its beat
    int m_origin = 0;     ///< the grid's first step, in novelty hops of the recording
    int m_size = 0;
    std::vector<float> m_onsets;
    std::vector<float> m_wide_onsets;
    std::vector<float> m_bass;
    std::vector<float> m_strokes; ///< prefix sums
    std::vector<float> m_gap;     ///< prefix sums
    std::map<std::size_t, std::vector<float>> m_chords;
    std::map<std::size_t, std::vector<float>> m_trebles;
    std::vector<std::size_t> m_span_of; ///< a beat
    std::vector<std::vector<float> const*> m_chord_of;
    std::vector<std::vector<float> const*> m_treble_of;
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

BeatTrack track_beats(Hearing const& heard, ChordEvidence const& evidence, ExpectedPart const& part,
                      std::span<double const> expected, BeatSettings const& settings)
{
    return BeatSearch(heard, evidence, part, expected, settings).search();
}

} // namespace tabard::pipeline
