#include "pipeline/listen/part_reader.h"

#include "pipeline/listen/rise_start.h"

#include <algorithm>
#include <cmath>
#include <span>

namespace tabard::pipeline {

namespace {

constexpr double kReach = 1.25;        ///< beats
constexpr double kClearNear = 3;       ///< the same for less than a third of a beat, where no other stroke is
constexpr double kBesideStroke = 0.08; ///< seconds within which one stroke is heard
constexpr float kHardlyStruck = 0.3F;  ///< of the stroke after it
constexpr double kOneStroke = 0.03;    ///< seconds: how far the start of one stroke may be from where it is looked for

/// The start of the stroke that is heard about `seconds`, to some 10 ms.
double stroke_start(Hearing const& heard, double seconds)
{
    auto const at = static_cast<std::ptrdiff_t>(std::lround(seconds / kNoveltyStep));
    auto const low = std::clamp<std::ptrdiff_t>(at - 3, 0, std::ssize(heard.novelty) - 1);
    auto const high = std::clamp<std::ptrdiff_t>(at + 4, low + 1, std::ssize(heard.novelty));
    auto const peak = std::max_element(heard.novelty.begin() + low, heard.novelty.begin() + high);
    return start_of_rise(heard.rises, static_cast<double>(peak - heard.novelty.begin()) * kNoveltyStep);
}

/// Those of `values`, one every `step` seconds, that lie between two times.
template <class T>
std::span<T const> between(std::vector<T> const& values, double step, double from, double to)
{
    auto const place = [&](double seconds) {
        return values.begin() + std::clamp<std::ptrdiff_t>(std::lround(seconds / step), 0, std::ssize(values));
    };
    return {place(from), std::max(place(from), place(to))};
}

float loudest(std::vector<float> const& novelty, double from, double to)
{
    auto const stretch = between(novelty, kNoveltyStep, from, to);
    return stretch.empty() ? 0 : std::ranges::max(stretch);
}

bool sounds(Hearing const& heard, double from, double to)
{
    return std::ranges::any_of(between(heard.silent, kChromaStep, from, to), [](auto silent) { return silent == 0; });
}

/// All cues of a part that are played.
CuesOff whole_part(CuedPart const& part, double late)
{
    CuesOff all{.first = part.spans.size(), .last = 0, .cues = 0, .late = late};
    for (std::size_t n = 0; n < part.spans.size(); ++n) {
        if (part.spans[n].to <= part.spans[n].from)
            continue;
        all.first = std::min(all.first, n);
        all.last = n;
        all.cues += part.chart.changes(n) ? 1 : 0;
    }
    return all;
}

} // namespace

double middle(std::vector<double> values)
{
    auto const place = values.begin() + std::ssize(values) / 2;
    std::ranges::nth_element(values, place);
    return *place;
}

PartReader::PartReader(Hearing const& heard, ChordEvidence const& evidence, CuedPart const& part,
                       std::optional<std::size_t> before, double moved, CueWindow const& window)
    : m_heard(heard),
      m_part(part),
      m_window(window),
      m_played(anchors_of(part, evidence, moved)),
      m_beat(m_played.beats.empty() ? 0.5 : middle(m_played.beats)),
      m_search(evidence, heard.novelty, m_played.anchors, before, kReach * m_beat)
{
}

double PartReader::score(double by)
{
    m_by = by;
    return m_search.best([this](std::size_t n, double shift) { return is_right(n, shift); }).score;
}

double PartReader::margin(double by)
{
    double best = -1e9;
    for (double const beats : {-1.0, -0.5, 0.5, 1.0})
        best = std::max(best, score(by + beats * m_beat));
    return score(by) - best;
}

PartReading PartReader::read(double by)
{
    auto reading = read_runs(by);
    auto const most = std::ranges::max_element(reading.off, {}, &CuesOff::cues);
    if (most == reading.off.end() || most->cues < kFewCues)
        return reading;
    // Cues are mostly moved together: what a cue says unclearly is then what the others say clearly.
    auto whole = read_runs(by - most->late);
    if (!whole.off.empty() || !whole.late || std::abs(*whole.late) > kSameShift)
        return reading;
    whole.late = most->late + *whole.late;
    whole.off = {whole_part(m_part, *whole.late)};
    return whole;
}

PartReading PartReader::read_runs(double by)
{
    PartReading result;
    result.chords.resize(m_part.spans.size());
    if (m_played.anchors.empty())
        return result;
    m_by = by;
    find_runs();
    std::size_t most = kFewCues - 1;
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

bool PartReader::is_right(std::size_t n, double shift) const
{
    auto const inside = [&](double value) {
        return value >= -m_window.late - kOneStroke && value <= m_window.early + kOneStroke;
    };
    return inside(shift - m_by) || (m_played.earlier[n] && inside(shift - m_by + *m_played.earlier[n]));
}

/// Neighbours that are right, and neighbours that are wrong by about the same.
std::vector<PartReader::Run> PartReader::runs_of(std::vector<double> const& shifts) const
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
void PartReader::find_runs()
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

bool PartReader::is_clear(Run const& run, std::vector<char> const& held) const
{
    if (run.cues == 0 || (m_window.pushes && (is_pushed(run) || is_passed(run))))
        return false;
    auto const other = m_search.best([&](std::size_t n, double shift) {
        return (held[n] == 0 && (n < run.first || n > run.last)) || is_right(n, shift);
    });
    bool const near = std::all_of(m_shifts.seconds.begin() + static_cast<std::ptrdiff_t>(run.first),
                                  m_shifts.seconds.begin() + static_cast<std::ptrdiff_t>(run.last) + 1,
                                  [&](double shift) { return 3 * std::abs(shift - m_by) < m_beat; });
    return m_shifts.score - other.score >= (near ? kClearNear : m_window.clear);
}

/// Single chords half a beat early or late are how many players play: they push them, or their hand passes the
/// beat.
bool PartReader::is_pushed(Run const& run) const
{
    if (run.cues >= kFewCues)
        return false;
    for (std::size_t n = run.first; n <= run.last; ++n)
        if (std::abs(std::abs(m_shifts.seconds[n] - m_by) / m_played.beats[n] - 0.5) > 0.15)
            return false;
    return true;
}

/// Chords that begin about a beat after their cues, with nothing struck before: the hand may pass the beat.
bool PartReader::is_passed(Run const& run) const
{
    std::size_t passed = 0;
    std::size_t changes = 0;
    for (std::size_t n = run.first; n <= run.last; ++n) {
        if (!m_played.anchors[n].change)
            continue;
        double const cue = m_played.anchors[n].seconds + m_by;
        double const sound = m_played.anchors[n].seconds + m_shifts.seconds[n];
        if (sound - cue < 0.75 * m_played.beats[n])
            return false;
        ++changes;
        float const stroke = loudest(m_heard.novelty, sound - kBesideStroke, sound + kBesideStroke);
        passed += loudest(m_heard.novelty, cue - kBesideStroke, sound - kBesideStroke) < kHardlyStruck * stroke ? 1 : 0;
    }
    return 4 * passed >= 3 * changes;
}

/// What the cues of a run have in common; none where nothing can be said.
std::optional<double> PartReader::late_of(Run const& run) const
{
    std::vector<double> cues;
    std::vector<double> shifts;
    for (std::size_t n = run.first; n <= run.last; ++n) {
        if (!m_played.anchors[n].change && run.cues >= kFewCues)
            continue;
        double const shift = m_shifts.seconds[n];
        if (run.right && m_played.earlier[n] && shift - m_by < -m_window.late - kOneStroke)
            continue; // it came with the stroke before
        cues.push_back(m_played.anchors[n].seconds);
        shifts.push_back(shift);
    }
    if (cues.empty())
        return std::nullopt;
    if (cues.size() < kFewCues) {
        for (std::size_t n = 0; n < cues.size(); ++n)
            cues[n] += m_by - stroke_start(m_heard, cues[n] + shifts[n]);
        return middle(std::move(cues));
    }
    double const shift = middle(std::move(shifts));
    for (double& cue : cues)
        cue += shift;
    auto const start = common_start(m_heard.rises, cues);
    return start ? std::optional(m_by - shift - *start) : std::nullopt;
}

bool PartReader::is_off(Run const& run, std::optional<double> late) const
{
    if (!late || !run.right)
        return late.has_value();
    return run.cues > 0 && run.last - run.first + 1 >= kFewCues && m_window.many_are_off(*late);
}

void PartReader::judge_chords(PartReading& result) const
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
        beats += expected.beats;
        if (!sounds(m_heard, from, to))
            continue;
        result.chords[span] = judge_chord(m_heard, expected.chord, from, to);
        sum += share_as_written(result.chords[span]) * expected.beats;
    }
    result.fits = beats > 0 ? std::clamp(sum / beats, 0.0, 1.0) : 0;
}

} // namespace tabard::pipeline
