#include "pipeline/listen/cue_reading.h"

#include "pipeline/listen/chord_evidence.h"
#include "pipeline/listen/cue_shifts.h"
#include "pipeline/listen/part_reader.h"
#include "pipeline/listen/transposition.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace tabard::pipeline {

namespace {

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

/// Reads the parts of a lesson.
class LessonReader {
public:
    LessonReader(Hearing const& heard, ExpectedMusic const& chart, std::vector<CuedPart> const& parts,
                 CueWindow const& window)
        : m_heard(heard), m_parts(parts), m_window(window), m_chords(heard, chart)
    {
    }

    CueReading read()
    {
        CueReading result;
        if (m_parts.empty())
            return result;
        auto const far = far_shift(m_heard, m_chords, m_parts);
        for (std::size_t n = 0; n < m_parts.size(); ++n)
            m_readers.push_back(reader(n, far.value_or(0)));
        result.parts = read_all(0);
        double by = 0;
        if (far)
            by = -middle_late(result.parts).value_or(0);
        else if (auto const late = common_late(result.parts))
            by = -*late;
        result.common = far.value_or(0) + by;
        if (by != 0)
            result.parts = read_all(by);
        for (std::size_t n = 0; n < m_parts.size(); ++n)
            if (!result.parts[n].elsewhere)
                result.parts[n].margin = m_readers[n].margin(by);
        return result;
    }

private:
    static constexpr double kHeardThere = 0.75; ///< share of the beats as written where a part is played instead
    static constexpr double kSays = 1;          ///< nats from which a part says something

    PartReader reader(std::size_t n, double moved) const
    {
        return {m_heard, m_chords, m_parts[n], chord_before(m_chords, m_parts, n), moved, m_window};
    }

    std::vector<PartReading> read_all(double by)
    {
        std::vector<PartReading> readings;
        for (std::size_t n = 0; n < m_parts.size(); ++n) {
            auto reading = m_readers[n].read(by);
            if (reading.fits < kHeardHere) {
                auto const far = far_shift(m_heard, m_chords, std::span(m_parts).subspan(n, 1));
                if (auto there = far ? reader(n, *far).read(0) : PartReading{}; there.fits >= kHeardThere) {
                    reading = std::move(there);
                    reading.elsewhere = *far;
                }
            }
            readings.push_back(std::move(reading));
        }
        return readings;
    }

    /// By how much the cues of all parts come after their sound, where they are off together: because most starts of
    /// strokes say so and none speaks against it, or because the chords do.
    std::optional<double> common_late(std::vector<PartReading> const& written)
    {
        if (written.size() < 2)
            return std::nullopt;
        auto const late = middle_late(written);
        if (late && m_window.many_are_off(*late) && all_agree(written, read_all(-*late), *late))
            return late;
        std::optional<double> best;
        double most = kClearMargin;
        for (PartReading const& part : written) {
            if (part.off.empty() || part.elsewhere)
                continue;
            double const tried = std::ranges::max_element(part.off, {}, &CuesOff::cues)->late;
            if (double const gain = gain_of(-tried); gain > most) {
                most = gain;
                best = tried;
            }
        }
        if (!best)
            return std::nullopt;
        auto const moved = read_all(-*best);
        bool const same = std::ranges::all_of(
            moved, [](PartReading const& part) { return std::abs(part.late.value_or(0)) <= kSameShift; });
        return same ? std::optional(*best + middle_late(moved).value_or(0)) : std::nullopt;
    }

    /// Nats by which all cues together are likelier right once they are moved by `by` seconds; none to speak of where a
    /// part speaks against it, or fewer than half of them for it.
    double gain_of(double by)
    {
        double sum = 0;
        double least = 0;
        std::size_t sayers = 0;
        for (PartReader& part : m_readers) {
            double const gain = part.score(by) - part.score(0);
            sum += gain;
            least = std::min(least, gain);
            sayers += gain > kSays ? 1 : 0;
        }
        return sayers > 1 && 2 * sayers >= m_readers.size() && least > -kClearMargin / 2 ? sum : 0;
    }

    /// By how much the cues of most parts come after their sound.
    static std::optional<double> middle_late(std::vector<PartReading> const& readings)
    {
        std::vector<double> late;
        for (PartReading const& reading : readings)
            if (reading.late && !reading.elsewhere)
                late.push_back(*reading.late);
        return late.empty() ? std::nullopt : std::optional(middle(std::move(late)));
    }

    /// Whether all parts are off together by `late`: half of them say it where their cues are, and once they are moved
    /// no cue of any part speaks against it.
    static bool all_agree(std::vector<PartReading> const& written, std::vector<PartReading> const& moved, double late)
    {
        std::size_t parts = 0;
        std::size_t sayers = 0;
        for (std::size_t n = 0; n < moved.size(); ++n) {
            auto const& there = moved[n];
            if (written[n].fits < kHeardHere && there.fits < kHeardHere)
                continue; // it is not heard at all
            if (written[n].elsewhere || there.elsewhere || there.fits < kHeardHere || !there.off.empty() ||
                std::abs(there.late.value_or(0)) > kSameShift)
                return false;
            ++parts;
            sayers += written[n].late && std::abs(*written[n].late - late) <= kSameShift ? 1 : 0;
        }
        return parts > 1 && 2 * sayers >= parts;
    }

    Hearing const& m_heard;
    std::vector<CuedPart> const& m_parts;
    CueWindow m_window;
    ChordEvidence m_chords;
    std::vector<PartReader> m_readers;
};

} // namespace

CueReading read_cues(Hearing const& heard, std::vector<CuedPart> const& written, CueWindow const& window)
{
    ExpectedMusic chart;
    for (CuedPart const& part : written)
        chart.push_back(part.chart);
    int const semitones = find_transposition(heard, chart).semitones;
    chart = transposed(std::move(chart), semitones);
    std::vector<CuedPart> parts = written;
    for (std::size_t n = 0; n < parts.size(); ++n)
        parts[n].chart = chart[n];
    auto result = LessonReader(heard, chart, parts, window).read();
    result.semitones = semitones;
    return result;
}

} // namespace tabard::pipeline
