#include "pipeline/listen/part_walk.h"

#include "pipeline/listen/outside_evidence.h"
#include "pipeline/listen/part_place.h"

#include <algorithm>
#include <cmath>
#include <cstdint>

namespace tabard::pipeline {

namespace {

// Nats. How much better a clear onset on a beat is than none, by what begins there.
constexpr float kChangeOnset = 4.0F;
constexpr float kBarOnset = 2.5F;
constexpr float kBeatOnset = 2.0F;

// Nats that leaving the chart costs, chosen on tuning seeds so that plain playing does not (listen_bench --tune).
constexpr float kPause = 11;   ///< a rest at a bar line
constexpr float kInBar = 4;    ///< more, where a bar is broken off
constexpr float kInBarOn = 1;  ///< more, where it then goes on from there
constexpr float kBack = 4;     ///< more, where it goes on with a bar before
constexpr float kForward = 12; ///< more, where it goes on with a bar after
constexpr float kBarAnew = 1;  ///< more, where the bar is begun anew that was broken off
constexpr float kAnew = 6;     ///< more, where the part is begun anew
constexpr float kBarAway = 0.5F;
constexpr float kBarSkipped = 4; ///< what is not played cannot speak against itself
constexpr float kJumpBack = 14;  ///< going on with another bar without a rest
constexpr float kJumpForward = 16;

constexpr float kStruckWhileHeld = 2; ///< against a chord that only rings

constexpr double kBeatDeviation = 0.12; ///< standard deviation of the logarithm of a beat's length
constexpr double kShortest = 0.72;      ///< beats, of the expected length
constexpr double kLongest = 1.4;
constexpr double kShortestPause = 0.8; ///< seconds
constexpr double kReach = 60;          ///< seconds around where a beat is expected
constexpr int kBarsAway = 8;           ///< how far a jump goes
constexpr double kCells = 1.5e6;       ///< of 16 bytes each

/// Whether the strum pattern has a stroke on a beat. Where none is known, every beat may have one.
bool is_struck(ExpectedPart const& part, int beat)
{
    auto const& [strokes, beats] = part.strokes;
    double const place = (beat + part.first_in_bar) % beats;
    return strokes.empty() ||
           std::ranges::any_of(strokes, [=](ExpectedStroke const& s) { return std::abs(s.beat - place) < 0.05; });
}

class WalkSearch {
public:
    WalkSearch(EvidenceGrid const& grid, ChordEvidence const& evidence, ExpectedPart const& part,
               std::span<double const> expected, WalkSettings const& settings)
        : m_grid(grid),
          m_part(part),
          m_straight(settings.straight),
          m_without(settings.without),
          m_eager(static_cast<float>(settings.eager)),
          m_place(place_of(part, settings.beat_seconds)),
          m_beats(part.beats()),
          m_shortest_pause(steps(kShortestPause))
    {
        for (ExpectedSpan const& span : part.spans)
            for (int n = 0; n < span.beats; ++n) {
                m_sums.push_back(&grid.chords[evidence.index_of(span.chord)]);
                bool const change = n == 0 && part.changes(static_cast<std::size_t>(&span - part.spans.data()));
                bool const bar = begins_bar(span.first_beat + n);
                m_weights.push_back(!is_struck(part, span.first_beat + n) ? 0
                                    : change                              ? kChangeOnset
                                    : bar                                 ? kBarOnset
                                                                          : kBeatOnset);
                set_lengths(expected_seconds(part, span.first_beat + n, 1, settings.beat_seconds) / grid.step);
            }
        for (int beat = 0; beat < m_beats; ++beat)
            if (begins_bar(beat))
                m_bars.push_back(beat);
        set_ranges(expected, settings.window.whole);
        m_begins = {steps(settings.window.begins.from), steps(settings.window.begins.to) + 1};
        m_clear = std::max(onsets_near(expected), 0.05F);
        m_outside = outside_evidence(grid, m_window);
    }

    PartWalk search()
    {
        m_rests.assign(index(m_beats), {});
        int first = 0;
        int last = 0;
        for (int at = m_window.low; at < m_window.high; ++at) {
            while (first < m_beats && m_ranges[index(first)].high <= at)
                ++first;
            while (last < m_beats && m_ranges[index(last + 1)].low <= at)
                ++last;
            for (int beat = first; beat <= last; ++beat)
                arrive(beat, at);
            if (!m_straight)
                for (int beat = std::max(first, 1); beat <= std::min(last, m_beats - 1); ++beat)
                    rest(beat, at);
            if (!m_straight)
                jump(first, last, at);
            for (int beat = first; beat <= std::min(last, m_beats - 1); ++beat)
                enter(beat, at);
        }
        return trace();
    }

private:
    struct Cell {
        float arrived = kImpossible; ///< the best score of the beat before ending here
        float started = kImpossible; ///< and of this beat beginning here, less the evidence for its chord until here
        std::int32_t left = -1;      ///< where it did not come from the beat before: the step at which that was left,
        std::int16_t from = -1;      ///< and the beat that would have come there
        std::uint8_t length = 0;     ///< steps of the beat before; 0: the part begins here
    };
    /// Nothing of the chart is played.
    struct Rest {
        float held = kImpossible; ///< the last chord rings
        float gap = kImpossible;
        std::int32_t held_since = 0;
        std::int32_t gap_since = 0;
    };
    struct Source {
        float score = kImpossible;
        std::int32_t left = -1;
    };

    static std::size_t index(int n) { return static_cast<std::size_t>(n); }
    int steps(double seconds) const { return static_cast<int>(std::lround(seconds / m_grid.step)); }
    bool begins_bar(int beat) const { return beat == 0 || (beat + m_part.first_in_bar) % m_part.beats_per_bar == 0; }
    float gap(int from, int to) const { return m_grid.gap[index(to)] - m_grid.gap[index(from)]; }
    float sounds(int beat, int from, int to) const
    {
        auto const& sums = *m_sums[index(beat)];
        return sums[index(to)] - sums[index(from)];
    }

    void set_lengths(double expected)
    {
        Lengths lengths;
        lengths.shortest = std::max(1, static_cast<int>(std::ceil(kShortest * expected)));
        int const longest = std::clamp(static_cast<int>(kLongest * expected), lengths.shortest, 250);
        for (int length = lengths.shortest; length <= longest; ++length) {
            double const stretch = std::log(length / expected) / kBeatDeviation;
            lengths.costs.push_back(static_cast<float>(0.5 * stretch * stretch));
        }
        m_lengths.push_back(std::move(lengths));
    }

    void set_ranges(std::span<double const> expected, Stretch window)
    {
        m_window = {std::clamp(steps(window.from), 0, m_grid.size - 1), 0};
        m_window.high = std::clamp(steps(window.to) + 1, m_window.low + 1, m_grid.size);
        int const reach = std::min(steps(kReach), static_cast<int>(kCells / (2.0 * (m_beats + 1))));
        std::size_t cells = 0;
        for (int beat = 0; beat <= m_beats; ++beat) {
            int const centre = std::clamp(steps(expected[index(beat)]), m_window.low, m_window.high - 1);
            m_ranges.push_back({std::max(m_window.low, centre - reach), std::min(m_window.high, centre + reach + 1)});
            m_offsets.push_back(cells);
            cells += index(m_ranges.back().size());
        }
        m_cells.resize(cells);
    }

    bool holds(int beat, int at) const { return m_ranges[index(beat)].low <= at && at < m_ranges[index(beat)].high; }
    Cell& cell(int beat, int at) { return m_cells[m_offsets[index(beat)] + index(at - m_ranges[index(beat)].low)]; }
    Cell const& cell(int beat, int at) const
    {
        return m_cells[m_offsets[index(beat)] + index(at - m_ranges[index(beat)].low)];
    }

    /// How clear the onsets are on and near the beats.
    float onsets_near(std::span<double const> expected) const
    {
        std::vector<float> found;
        for (double const beat : expected) {
            int const centre = steps(beat);
            float best = 0;
            for (int at = std::max(centre - 2, 0); at < std::min(centre + 3, m_grid.size); ++at)
                best = std::max(best, m_grid.onsets[index(at)]);
            found.push_back(best);
        }
        auto const middle = found.begin() + std::ssize(found) / 2;
        std::ranges::nth_element(found, middle);
        return *middle;
    }

    /// What a step's onset says of a stroke: from -0.5, none, to 0.5, a clear one.
    float struck(int at) const { return std::min(m_grid.onsets[index(at)] / m_clear, 1.0F) - 0.5F; }

    /// The author's pins are kept to the step.
    bool allowed(int beat, int at) const
    {
        auto const pin = std::ranges::find(m_part.pins, beat, &BeatPin::beat);
        return pin == m_part.pins.end() || std::abs(steps(pin->seconds) - at) <= 1;
    }

    /// Beat `beat - 1` ends at `at`.
    void arrive(int beat, int at)
    {
        if (beat == 0)
            return;
        Cell& here = cell(beat, at);
        GridRange const from = m_ranges[index(beat - 1)];
        auto const& [shortest, costs] = m_lengths[index(beat - 1)];
        int const low = std::max(shortest, at - from.high + 1);
        int const high = std::min(shortest + static_cast<int>(costs.size()) - 1, at - from.low);
        for (int length = low; length <= high; ++length) {
            float const score = cell(beat - 1, at - length).started - costs[index(length - shortest)];
            if (score > here.arrived) {
                here.arrived = score;
                here.length = static_cast<std::uint8_t>(length);
            }
        }
        here.arrived += (*m_sums[index(beat - 1)])[index(at)];
        here.started = here.arrived;
    }

    /// Nothing of the chart has been played since `beat` was to begin.
    void rest(int beat, int at)
    {
        Rest& rest = m_rests[index(beat)];
        if (at > m_window.low) {
            float const step = gap(at - 1, at);
            if (rest.held > rest.gap) {
                rest.gap = rest.held;
                rest.gap_since = rest.held_since;
            }
            rest.gap += step;
            rest.held += sounds(beat - 1, at - 1, at) - struck_while_held(at);
        }
        int const left = at - m_shortest_pause;
        if (!holds(beat, left))
            return;
        float const stopped = cell(beat, left).arrived - kPause - (begins_bar(beat) ? 0 : kInBar);
        if (float const score = stopped + sounds(beat - 1, left, at); score > rest.held) {
            rest.held = score;
            rest.held_since = left;
        }
        if (float const score = stopped + gap(left, at); score > rest.gap) {
            rest.gap = score;
            rest.gap_since = left;
        }
    }

    /// What an onset costs a chord that only rings.
    float struck_while_held(int at) const { return kStruckWhileHeld * std::max(0.0F, struck(at)); }

    Source rested(int beat) const
    {
        if (beat == 0 || beat >= m_beats)
            return {};
        Rest const& rest = m_rests[index(beat)];
        return rest.held > rest.gap ? Source{rest.held, rest.held_since} : Source{rest.gap, rest.gap_since};
    }

    bool is_left_out(Turn turn) const
    {
        return m_without && std::abs(turn.from - m_without->from) <= 1 && std::abs(turn.to - m_without->to) <= 1;
    }

    void take(int beat, int at, int from, Source source)
    {
        Cell& here = cell(beat, at);
        source.score += m_eager;
        if (source.score <= here.started || is_left_out({from, beat}))
            return;
        here.started = source.score;
        here.left = source.left;
        here.from = static_cast<std::int16_t>(from);
    }

    /// All ways to begin a beat at `at` that do not come from the beat before.
    void jump(int first, int last, int at)
    {
        int const bar = m_part.beats_per_bar;
        for (int from = std::max(first, 1); from <= last; ++from) {
            auto const paused = rested(from);
            Source const direct{cell(from, at).arrived, at};
            bool const in_bar = from < m_beats && !begins_bar(from);
            if (from < m_beats)
                take(from, at, from, {paused.score - (in_bar ? kInBarOn : 0), paused.left});
            auto const to_bar = [&](int to, float away) {
                bool const back = to < from;
                if (to < first || to > last || (!back && in_bar))
                    return;
                float const cost = (back ? kBarAway : kBarSkipped) * away;
                float const anew = in_bar && from - to < bar ? kBarAnew : kBack;
                take(to, at, from, {paused.score - cost - (back ? anew : kForward), paused.left});
                take(to, at, from, {direct.score - cost - (back ? kJumpBack : kJumpForward), at});
            };
            // A whole part that is played again is not a bar that was taken again.
            if (from < m_beats && from >= bar)
                to_bar(0, kAnew / kBarAway);
            auto const bar_before = std::ranges::lower_bound(m_bars, from);
            for (auto to = bar_before; to != m_bars.begin() && bar_before - to < kBarsAway;) {
                --to;
                if (from < m_beats ? *to > 0 : 2 * *to >= m_beats)
                    to_bar(*to, static_cast<float>(from - *to) / static_cast<float>(bar));
            }
            auto to = std::ranges::upper_bound(m_bars, from);
            for (int n = 0; to != m_bars.end() && n < kBarsAway; ++to, ++n)
                to_bar(*to, static_cast<float>(*to - from) / static_cast<float>(bar));
        }
    }

    /// Beat `beat` begins at `at` if at all.
    void enter(int beat, int at)
    {
        Cell& here = cell(beat, at);
        if (beat == 0 && m_begins.low <= at && at < m_begins.high) {
            float const begun = m_outside.until[index(at - m_window.low)] +
                                place_score(m_place, m_part.about_deviation, at * m_grid.step);
            if (begun > here.started) {
                here.started = begun;
                here.from = -1;
            }
        }
        if (!allowed(beat, at)) {
            here.started = kImpossible;
            return;
        }
        float const weight = here.from >= 0 ? kChangeOnset : m_weights[index(beat)];
        here.started += weight * struck(at) - (*m_sums[index(beat)])[index(at)];
    }

    PartWalk trace() const
    {
        GridRange const ends = m_ranges.back();
        PartWalk walk{{}, kImpossible};
        int end = -1;
        for (int at = ends.low; at < ends.high; ++at) {
            if (cell(m_beats, at).arrived < kImpossible / 2 || !allowed(m_beats, at))
                continue;
            if (auto const score =
                    static_cast<double>(cell(m_beats, at).arrived + m_outside.from[index(at - m_window.low)]);
                score > walk.score) {
                walk.score = score;
                end = at;
            }
        }
        if (end < 0)
            return walk;
        PlayedStretch stretch{m_beats, {end * m_grid.step}};
        int at = end;
        for (int beat = m_beats;;) {
            at -= cell(beat, at).length;
            --beat;
            stretch.seconds.push_back(at * m_grid.step);
            stretch.first_beat = beat;
            Cell const& here = cell(beat, at);
            bool const jumped = here.from >= 0;
            if (!jumped && here.length > 0 && beat > 0)
                continue;
            std::ranges::reverse(stretch.seconds);
            walk.stretches.push_back(std::move(stretch));
            if (!jumped)
                break;
            beat = here.from;
            at = here.left;
            stretch = {beat, {at * m_grid.step}};
        }
        std::ranges::reverse(walk.stretches);
        return walk;
    }

    struct Lengths {
        int shortest = 1;
        std::vector<float> costs; ///< from the shortest on
    };

    EvidenceGrid const& m_grid;
    ExpectedPart const& m_part;
    bool m_straight;
    std::optional<Turn> m_without;
    float m_eager;
    std::optional<double> m_place;
    int m_beats;
    int m_shortest_pause;
    float m_clear = 1; ///< an onset as clear as most on this part's beats
    GridRange m_window;
    GridRange m_begins;
    std::vector<std::vector<float> const*> m_sums; ///< of each beat's chord
    std::vector<float> m_weights;                  ///< of an onset on each beat
    std::vector<Lengths> m_lengths;
    std::vector<int> m_bars;         ///< beats on which bars begin, the part's first among them
    std::vector<GridRange> m_ranges; ///< beats + 1
    std::vector<std::size_t> m_offsets;
    std::vector<Cell> m_cells;
    OutsideEvidence m_outside;
    std::vector<Rest> m_rests;
};

} // namespace

PartWalk walk_part(EvidenceGrid const& grid, ChordEvidence const& evidence, ExpectedPart const& part,
                   std::span<double const> expected, WalkSettings const& settings)
{
    return WalkSearch(grid, evidence, part, expected, settings).search();
}

} // namespace tabard::pipeline
