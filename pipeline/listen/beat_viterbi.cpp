#include "pipeline/listen/beat_viterbi.h"

#include "pipeline/listen/part_place.h"
#include "pipeline/listen/part_trellis.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {

namespace {

/// The usual length of each beat: between pins what they say, else the median of its neighbours up to `reach` beats
/// away, which one stretched bar does not move.
std::vector<double> usual_lengths(ExpectedPart const& part, std::span<double const> beats, std::ptrdiff_t reach)
{
    std::vector<double> plain;
    for (std::size_t n = 0; n + 1 < beats.size(); ++n)
        plain.push_back(beats[n + 1] - beats[n]);
    std::vector<double> lengths;
    for (std::ptrdiff_t n = 0; n < std::ssize(plain); ++n) {
        std::vector<double> near(plain.begin() + std::max<std::ptrdiff_t>(n - reach, 0),
                                 plain.begin() + std::min(n + reach + 1, std::ssize(plain)));
        auto const middle = near.begin() + std::ssize(near) / 2;
        std::nth_element(near.begin(), middle, near.end());
        lengths.push_back(expected_seconds(part, static_cast<int>(n), 1, *middle));
    }
    return lengths;
}

/// The search's states are a beat's start and the length of the beat before it.
class BeatSearch {
public:
    BeatSearch(Hearing const& heard, ChordEvidence const& evidence, ExpectedPart const& part,
               std::span<double const> expected, BeatSettings const& settings)
        : m_part(part),
          m_expected(expected),
          m_settings(settings),
          m_usual(usual_lengths(part, expected, settings.step_deviation > 0 ? std::ssize(expected) : kNeighbours)),
          m_evidence(heard, evidence, part, expected.front() - margin(), expected.back() + margin(), settings.habits)
    {
        auto const [least, most] = std::ranges::minmax(m_usual);
        m_shortest = std::max(2, static_cast<int>(kShortest * least / kNoveltyStep));
        m_lengths = std::max(1, static_cast<int>(kLongest * most / kNoveltyStep) + 2 - m_shortest);
        m_followed.resize(static_cast<std::size_t>(m_lengths));
        for (std::size_t beat = 0; beat < expected.size(); ++beat)
            m_ranges.push_back(range(expected[beat], settings.reach_beats * m_usual[std::min(beat, m_usual.size() - 1)],
                                     static_cast<int>(beat)));
    }

    BeatTrack search()
    {
        // Nothing lies before the first beat, so any length is as good.
        Scores scores(static_cast<std::size_t>(m_ranges.front().size() * m_lengths), kImpossible);
        for (int at = m_ranges.front().low; at < m_ranges.front().high; ++at)
            std::fill_n(scores.begin() + row(0, at), m_lengths, m_evidence.begins(at));
        for (int beat = 0; beat < std::ssize(m_usual); ++beat)
            scores = advance(beat, scores);
        GridRange const last = m_ranges.back();
        for (int at = last.low; at < last.high; ++at) {
            float const rest = m_evidence.ends(at);
            auto const first = scores.begin() + row(std::ssize(m_usual), at);
            std::for_each(first, first + m_lengths, [=](float& score) { score += rest; });
        }
        auto const best = std::ranges::max_element(scores);
        if (*best <= kImpossible / 2)
            return as_expected();
        auto track = trace(best - scores.begin());
        track.score = static_cast<double>(*best);
        return track;
    }

private:
    static constexpr std::ptrdiff_t kNeighbours = 12;
    using Scores = std::vector<float>;        ///< of each step of a beat's range, a score a length
    static constexpr double kShortest = 0.65; ///< of the usual length
    static constexpr double kLongest = 1.7;
    static constexpr double kUnlike = 4; ///< standard deviations beyond which nothing is tried

    struct Move {
        std::uint16_t before = 0; ///< which length the beat before had
        bool early = false;       ///< the chord of the beat that this one leads to came half-way
    };

    struct Followed {
        float score = 0;
        std::uint16_t before = 0;
    };

    double margin() const { return m_settings.reach_beats * m_usual.front() + BeatEvidence::kAround; }

    GridRange range(double expected, double reach, int beat) const
    {
        auto const pin = std::ranges::find(m_part.pins, beat, &BeatPin::beat);
        bool const pinned = pin != m_part.pins.end();
        int const centre = m_evidence.step_at(pinned ? pin->seconds : expected);
        int const steps = pinned ? 0 : static_cast<int>(reach / kNoveltyStep);
        int const low = std::clamp(centre - steps, 0, m_evidence.size() - 1);
        return {low, std::clamp(centre + steps + 1, low + 1, m_evidence.size())};
    }

    std::ptrdiff_t row(std::ptrdiff_t beat, int at) const
    {
        return static_cast<std::ptrdiff_t>(at - m_ranges[static_cast<std::size_t>(beat)].low) * m_lengths;
    }

    struct Costs {
        int first = 0; ///< the shortest length that a beat may have
        std::vector<float> nats;
    };
    /// What lengths cost, against the usual one.
    Costs costs(double usual) const
    {
        Costs costs;
        for (int n = 0; n < m_lengths; ++n) {
            double const ratio = (m_shortest + n) * kNoveltyStep / usual;
            double const stretch = std::log(ratio) / m_settings.deviation;
            if (ratio < kShortest || ratio > kLongest || std::abs(stretch) > kUnlike)
                continue;
            if (costs.nats.empty())
                costs.first = n;
            costs.nats.push_back(static_cast<float>(0.5 * stretch * stretch));
        }
        return costs;
    }

    /// Of the lengths that the beat before may have had, the best one for each that this one may have, from `first` on.
    void follow(float const* scores, int first, std::span<Followed> best) const
    {
        if (m_settings.step_deviation <= 0) {
            auto const most = std::max_element(scores, scores + m_lengths);
            std::ranges::fill(best, Followed{*most, static_cast<std::uint16_t>(most - scores)});
            return;
        }
        for (std::size_t n = 0; n < best.size(); ++n) {
            int const length = first + static_cast<int>(n);
            double const deviation = m_settings.step_deviation * (m_shortest + length); // steps
            int const reach = static_cast<int>(kUnlike * deviation) + 1;
            auto const tightness = static_cast<float>(0.5 / (deviation * deviation));
            best[n] = {kImpossible, 0};
            for (int other = std::max(0, length - reach); other < std::min(m_lengths, length + reach + 1); ++other) {
                auto const change = static_cast<float>(other - length);
                if (float const here = scores[other] - tightness * change * change; here > best[n].score)
                    best[n] = {here, static_cast<std::uint16_t>(other)};
            }
        }
    }

    Scores advance(int beat, Scores const& scores)
    {
        auto const number = static_cast<std::size_t>(beat);
        auto const [first, cost] = costs(m_usual[number]);
        GridRange const from = m_ranges[number];
        GridRange const to = m_ranges[number + 1];
        Scores result(static_cast<std::size_t>(to.size() * m_lengths), kImpossible);
        auto& moves = m_moves.emplace_back(result.size());
        std::vector<BeatEvidence::Passage> passages(cost.size());
        for (int start = from.low; start < from.high; ++start) {
            float const* const here = scores.data() + row(beat, start);
            int const shortest = std::max(m_shortest + first, to.low - start);
            int const longest = std::min(m_shortest + first + static_cast<int>(cost.size()), to.high - start) - 1;
            if (longest < shortest || *std::max_element(here, here + m_lengths) <= kImpossible / 2)
                continue;
            auto const most = static_cast<std::size_t>(longest - shortest + 1);
            m_evidence.passages(beat, start, shortest, {passages.data(), most});
            follow(here, shortest - m_shortest, {m_followed.data(), most});
            for (std::size_t n = 0; n < most; ++n) {
                int const length = shortest - m_shortest + static_cast<int>(n);
                auto const [score, before] = m_followed[n];
                auto const cell = static_cast<std::size_t>(row(beat + 1, start + m_shortest + length) + length);
                result[cell] = score - cost[static_cast<std::size_t>(length - first)] + passages[n].score;
                moves[cell] = {before, passages[n].early};
            }
        }
        return result;
    }

    /// Pins may allow no beats that anybody would play.
    BeatTrack as_expected() const
    {
        return {{m_expected.begin(), m_expected.end()}, std::vector<std::uint8_t>(m_part.spans.size()), kImpossible};
    }

    BeatTrack trace(std::ptrdiff_t last) const
    {
        BeatTrack track;
        track.seconds.resize(m_ranges.size());
        track.early.resize(m_part.spans.size());
        int at = m_ranges.back().low + static_cast<int>(last / m_lengths);
        int length = static_cast<int>(last % m_lengths);
        std::size_t span = m_part.spans.size();
        for (std::size_t beat = m_ranges.size(); beat-- > 0;) {
            track.seconds[beat] = m_evidence.seconds_at(at);
            if (beat == 0)
                break;
            Move const move =
                m_moves[beat - 1][static_cast<std::size_t>(row(static_cast<std::ptrdiff_t>(beat), at) + length)];
            if (span > 0 && static_cast<std::size_t>(m_part.spans[span - 1].first_beat) == beat)
                track.early[--span] = move.early ? 1 : 0;
            at -= m_shortest + length;
            length = move.before;
        }
        return track;
    }

    ExpectedPart const& m_part;
    std::span<double const> m_expected;
    BeatSettings m_settings;
    std::vector<double> m_usual; ///< seconds, a beat
    BeatEvidence m_evidence;
    int m_shortest = 0; ///< steps
    int m_lengths = 0;  ///< how many there are from the shortest on
    std::vector<GridRange> m_ranges;
    std::vector<std::vector<Move>> m_moves; ///< as Scores
    std::vector<Followed> m_followed;       ///< room to work in
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
