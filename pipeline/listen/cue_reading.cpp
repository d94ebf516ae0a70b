#include "pipeline/listen/cue_reading.h"

#include "pipeline/listen/chord_evidence.h"
#include "pipeline/listen/cue_shifts.h"
#include "pipeline/listen/onset_refinement.h"
#include "pipeline/listen/transposition.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace tabard::pipeline {

namespace {

constexpr double kReach = 1.25;      ///< beats
constexpr double kClearNear = 3;     ///< the same for less than a third of a beat, where no other stroke is
constexpr double kClear = 5;         ///< nats by which cues must be off before it is said
constexpr std::size_t kFew = 4;      ///< so many changes say together what one cannot
constexpr double kOneStroke = 0.03;  ///< seconds: how far the start of one stroke may be from where it is looked for
constexpr double kHeardThere = 0.75; ///< share of the beats as written where it is played instead

double beat_of(CuedPart const& part, std::size_t span)
{
    return std::max(0.1, (part.spans[span].to - part.spans[span].from) / part.chart.spans[span].beats);
}

/// Beats from beat `beat` of a part to the stroke that brings its chord: 0 but where the strum passes it.
struct StrokesAround {
    double after = 0;
    std::optional<double> before; ///< the stroke before a beat that is passed, if it is near enough to bring the chord
};

StrokesAround strokes_around(ExpectedPart const& part, int beat)
{
    auto const& pattern = part.strokes;
    StrokesAround result;
    if (pattern.strokes.empty() || pattern.beats <= 0)
        return result;
    double const place = (beat + part.first_in_bar) % pattern.beats;
    double after = pattern.beats;
    double before = pattern.beats;
    for (ExpectedStroke const& stroke : pattern.strokes) {
        if (!stroke.ringing)
            continue;
        double const ahead = std::fmod(stroke.beat - place + 2 * pattern.beats, pattern.beats);
        after = std::min(after, ahead);
        if (ahead > 0)
            before = std::min(before, pattern.beats - ahead);
    }
    if (after > 0.02 && after < 2) {
        result.after = after;
        if (before < 1.5)
            result.before = before;
    }
    return result;
}

/// The spans of a part that are played, as anchors, and what the strum says of them.
struct Anchors {
    std::vector<std::size_t> spans;
    std::vector<CueAnchor> anchors;
    std::vector<double> beats;                  ///< seconds
    std::vector<std::optional<double>> earlier; ///< seconds from the anchor back to a stroke that may bring it too
};

Anchors anchors_of(CuedPart const& part, ChordEvidence const& evidence, double moved)
{
    Anchors result;
    for (std::size_t n = 0; n < part.spans.size(); ++n) {
        Stretch const& span = part.spans[n];
        if (span.to <= span.from)
            continue;
        double const beat = beat_of(part, n);
        auto const strokes = strokes_around(part.chart, part.chart.spans[n].first_beat);
        CueAnchor anchor;
        anchor.seconds = span.from + moved + strokes.after * beat;
        anchor.chord = evidence.index_of(part.chart.spans[n].chord);
        anchor.change = result.anchors.empty() || anchor.chord != result.anchors.back().chord;
        if (n + 1 < part.spans.size() && part.spans[n + 1].from > span.to + 0.5 * beat)
            anchor.until = span.to + moved;
        result.spans.push_back(n);
        result.anchors.push_back(anchor);
        result.beats.push_back(beat);
        result.earlier.push_back(strokes.before ? std::optional((strokes.after + *strokes.before) * beat)
                                                : std::nullopt);
    }
    return result;
}

double middle(std::vector<double> values)
{
    auto const place = values.begin() + std::ssize(values) / 2;
    std::ranges::nth_element(values, place);
    return *place;
}

/// The start of the stroke that is heard about `seconds`, to some 10 ms.
double stroke_start(Hearing const& heard, double seconds)
{
    constexpr double kStep = static_cast<double>(kNoveltyHop) / kListenRate;
    auto const at = static_cast<std::ptrdiff_t>(std::lround(seconds / kStep));
    auto const low = std::clamp<std::ptrdiff_t>(at - 3, 0, std::ssize(heard.novelty) - 1);
    auto const high = std::clamp<std::ptrdiff_t>(at + 4, low + 1, std::ssize(heard.novelty));
    auto const peak = std::max_element(heard.novelty.begin() + low, heard.novelty.begin() + high);
    return start_of_rise(heard.rises, static_cast<double>(peak - heard.novelty.begin()) * kStep);
}

/// Judges the cues of one part.
class PartReader {
public:
    PartReader(Hearing const& heard, CueEvidence const& evidence, CuedPart const& part,
               std::optional<std::size_t> before, double moved, CueWindow const& window)
        : m_heard(heard),
          m_part(part),
          m_window(window),
          m_played(anchors_of(part, evidence.chords, moved)),
          m_beat(m_played.beats.empty() ? 0.5 : middle(m_played.beats)),
          m_search(evidence, heard.novelty, m_played.anchors, before, kReach * m_beat)
    {
    }

    PartReading read()
    {
        PartReading result;
        result.chords.resize(m_part.spans.size());
        if (m_played.anchors.empty())
            return result;
        find_runs();
        std::size_t most = kFew - 1;
        for (Run const& run : m_runs) {
            auto const late = late_of(run);
            if (is_off(run, late))
                result.off.push_back({m_played.spans[run.first], m_played.spans[run.last], run.cues, *late});
            if (auto const strokes = run.last - run.first + 1; late && strokes > most) {
                most = strokes;
                result.late = late;
            }
        }
        judge_chords(result);
        return result;
    }

private:
    struct Run {
        std::size_t first;
        std::size_t last;
        std::size_t cues;
        bool right; ///< as far as single strokes can say
    };

    bool is_right(std::size_t n, double shift) const
    {
        auto const inside = [&](double value) {
            return value >= -m_window.late - kOneStroke && value <= m_window.early + kOneStroke;
        };
        return inside(shift) || (m_played.earlier[n] && inside(shift + *m_played.earlier[n]));
    }

    /// Neighbours that are right, and neighbours that are wrong by about the same.
    std::vector<Run> runs_of(std::vector<double> const& shifts) const
    {
        std::vector<Run> runs;
        for (std::size_t n = 0; n < shifts.size(); ++n) {
            bool const right = is_right(n, shifts[n]);
            bool const goes_on = !runs.empty() && runs.back().right == right &&
                                 (right || std::abs(shifts[n] - shifts[n - 1]) < 0.2 * m_beat);
            if (!goes_on)
                runs.push_back({n, n, 0, right});
            runs.back().last = n;
            runs.back().cues += m_played.anchors[n].change ? 1 : 0;
        }
        return runs;
    }

    /// The runs of the likeliest shifts, once those that are not clearly wrong are held right.
    void find_runs()
    {
        std::vector<char> held(m_played.anchors.size());
        auto const allowed = [&](std::size_t n, double shift) { return held[n] == 0 || is_right(n, shift); };
        for (std::size_t round = 0; round <= m_played.anchors.size(); ++round) {
            m_shifts = m_search.best(allowed);
            m_runs = runs_of(m_shifts.seconds);
            auto const unclear =
                std::ranges::find_if(m_runs, [&](Run const& run) { return !run.right && !is_clear(run, held); });
            if (unclear == m_runs.end())
                return;
            std::fill(held.begin() + static_cast<std::ptrdiff_t>(unclear->first),
                      held.begin() + static_cast<std::ptrdiff_t>(unclear->last) + 1, 1);
        }
    }

    bool is_clear(Run const& run, std::vector<char> const& held) const
    {
        if (run.cues == 0 || is_pushed(run))
            return false;
        auto const other = m_search.best([&](std::size_t n, double shift) {
            return (held[n] == 0 && (n < run.first || n > run.last)) || is_right(n, shift);
        });
        bool const near = std::all_of(m_shifts.seconds.begin() + static_cast<std::ptrdiff_t>(run.first),
                                      m_shifts.seconds.begin() + static_cast<std::ptrdiff_t>(run.last) + 1,
                                      [&](double shift) { return 3 * std::abs(shift) < m_beat; });
        return m_shifts.score - other.score >= (near ? kClearNear : kClear);
    }

    /// Single chords half a beat early or late are how many players play: they push them, or their hand passes the
    /// beat.
    bool is_pushed(Run const& run) const
    {
        if (run.cues >= kFew)
            return false;
        for (std::size_t n = run.first; n <= run.last; ++n)
            if (std::abs(std::abs(m_shifts.seconds[n] / m_played.beats[n]) - 0.5) > 0.15)
                return false;
        return true;
    }

    /// What the cues of a run have in common; none where nothing can be said. One stroke is mostly found too late if at
    /// all, as its last strings may drown its first: so of many the later ones of the middle count.
    std::optional<double> late_of(Run const& run) const
    {
        std::vector<double> late;
        for (std::size_t n = run.first; n <= run.last; ++n) {
            if (!m_played.anchors[n].change && run.cues >= kFew)
                continue;
            double const shift = m_shifts.seconds[n];
            if (run.right && m_played.earlier[n] && shift < -m_window.late - kOneStroke)
                continue; // it came with the stroke before
            double const cue = m_played.anchors[n].seconds;
            late.push_back(cue - stroke_start(m_heard, cue + shift));
        }
        if (late.empty())
            return std::nullopt;
        auto const place = late.begin() + std::min(std::ssize(late) * 3 / 5, std::ssize(late) - 1);
        std::ranges::nth_element(late, place);
        return *place;
    }

    bool is_off(Run const& run, std::optional<double> late) const
    {
        if (!late || !run.right)
            return late.has_value();
        // Many strokes together are known so exactly that half of what nobody notices is a mistake of the cues.
        auto const strokes = run.last - run.first + 1;
        return run.cues > 0 && strokes >= kFew && (*late > m_window.late || -*late > 0.5 * m_window.early);
    }

    void judge_chords(PartReading& result) const
    {
        double sum = 0;
        double beats = 0;
        auto const& anchors = m_played.anchors;
        for (std::size_t n = 0; n < anchors.size(); ++n) {
            auto const span = m_played.spans[n];
            ExpectedSpan const& expected = m_part.chart.spans[span];
            if (expected.chord.silent())
                continue;
            double const from = anchors[n].seconds + m_shifts.seconds[n];
            double to = n + 1 < anchors.size() ? anchors[n + 1].seconds + m_shifts.seconds[n + 1]
                                               : from + m_part.spans[span].to - m_part.spans[span].from;
            if (anchors[n].until)
                to = std::min(to, *anchors[n].until + m_shifts.seconds[n]);
            result.chords[span] = judge_chord(m_heard, expected.chord, from, to);
            sum += share_as_written(result.chords[span]) * expected.beats;
            beats += expected.beats;
        }
        result.fits = beats > 0 ? std::clamp(sum / beats, 0.0, 1.0) : 0;
    }

    Hearing const& m_heard;
    CuedPart const& m_part;
    CueWindow m_window;
    Anchors m_played;
    double m_beat;
    CueShiftSearch m_search;
    CueShifts m_shifts;
    std::vector<Run> m_runs;
};

/// What speaks for the chords of a part at its cues moved by `shift`, against nothing of the chart.
double evidence_of(ChordEvidence const& evidence, CuedPart const& part, double shift)
{
    double sum = 0;
    for (std::size_t n = 0; n < part.spans.size(); ++n) {
        auto const [from, to] = part.spans[n];
        if (to > from)
            sum += evidence.chord(evidence.index_of(part.chart.spans[n].chord), from + shift, to + shift) -
                   evidence.gap(from + shift, to + shift);
    }
    return sum;
}

/// The shift at which parts fit best together, where that is far from none and clearly better.
std::optional<double> far_shift(Hearing const& heard, ChordEvidence const& evidence, std::span<CuedPart const> parts)
{
    constexpr double kStep = 0.05;
    constexpr double kNear = 1; // seconds: what is nearer is found cue by cue
    constexpr double kMargin = 20;
    constexpr double kShare = 0.1;
    double first = heard.seconds();
    double last = 0;
    for (CuedPart const& part : parts) {
        first = std::min(first, part.spans.front().from);
        last = std::max(last, part.spans.back().to);
    }
    double near = 0;
    double far = 0;
    double best = 0;
    for (double shift = -std::max(first, kNear); shift <= std::max(heard.seconds() - last, kNear); shift += kStep) {
        double sum = 0;
        for (CuedPart const& part : parts)
            sum += evidence_of(evidence, part, shift);
        if (std::abs(shift) <= kNear)
            near = std::max(near, sum);
        else if (sum > far) {
            far = sum;
            best = shift;
        }
    }
    return far > near + kMargin + kShare * far ? std::optional(best) : std::nullopt;
}

/// The chord that plays until a part begins, where another goes over into it.
std::optional<std::size_t> chord_before(ChordEvidence const& evidence, std::span<CuedPart const> parts, std::size_t n)
{
    constexpr double kApart = 0.5; // seconds
    for (CuedPart const& other : parts)
        if (std::abs(other.spans.back().to - parts[n].spans.front().from) < kApart)
            return evidence.index_of(other.chart.spans.back().chord);
    return std::nullopt;
}

std::vector<PartReading> read_parts(Hearing const& heard, CueEvidence const& evidence,
                                    std::vector<CuedPart> const& parts, double moved, CueWindow const& window)
{
    std::vector<PartReading> readings;
    for (std::size_t n = 0; n < parts.size(); ++n) {
        auto const before = chord_before(evidence.chords, parts, n);
        auto const read = [&](double by) { return PartReader(heard, evidence, parts[n], before, by, window).read(); };
        auto reading = read(moved);
        if (reading.fits < kHeardHere) {
            auto const far = far_shift(heard, evidence.chords, std::span(parts).subspan(n, 1));
            if (auto there = far ? read(*far) : PartReading{}; there.fits >= kHeardThere) {
                reading = std::move(there);
                reading.elsewhere = *far;
            }
        }
        readings.push_back(std::move(reading));
    }
    return readings;
}

} // namespace

CueReading read_cues(Hearing const& heard, std::vector<CuedPart> const& written, CueWindow const& window)
{
    CueReading result;
    ExpectedMusic chart;
    for (CuedPart const& part : written)
        chart.push_back(part.chart);
    result.semitones = find_transposition(heard, chart).semitones;
    chart = transposed(std::move(chart), result.semitones);
    std::vector<CuedPart> parts = written;
    for (std::size_t n = 0; n < parts.size(); ++n)
        parts[n].chart = chart[n];
    ChordEvidence const chords(heard, chart);
    StrokeEvidence const strokes(heard, chords.distinct());
    CueEvidence const evidence{chords, strokes};

    if (auto const far = parts.empty() ? std::nullopt : far_shift(heard, chords, parts)) {
        std::vector<double> late;
        for (PartReading const& reading : read_parts(heard, evidence, parts, *far, window))
            if (reading.late)
                late.push_back(*reading.late);
        result.common = *far - (late.empty() ? 0 : middle(late));
    }
    result.parts = read_parts(heard, evidence, parts, result.common, window);
    return result;
}

} // namespace tabard::pipeline
