#include "pipeline/listen/chord_evidence.h"

#include "overlay/base/precondition.h"
#include "pipeline/listen/chord_template.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {

namespace {

constexpr float kSilentChord = -0.12F; ///< a chord of the chart where nothing sounds
constexpr float kGap = 0.09F; ///< sound that is not of the chart: more than a wrong chord has, less than a right one

float median(std::vector<float>& values)
{
    auto const middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

std::vector<HeardChord> distinct_chords(ExpectedMusic const& chart)
{
    std::vector<HeardChord> chords;
    for (ExpectedPart const& part : chart)
        for (ExpectedSpan const& span : part.spans)
            chords.push_back(span.chord);
    std::ranges::sort(chords);
    chords.erase(std::unique(chords.begin(), chords.end()), chords.end());
    return chords;
}

PitchClasses median_of(std::vector<Chroma> const& chroma, std::vector<std::size_t> const& frames,
                       PitchClasses Chroma::*half)
{
    PitchClasses result{};
    std::vector<float> values(frames.size());
    for (std::size_t c = 0; c < result.size(); ++c) {
        std::ranges::transform(frames, values.begin(), [&](std::size_t n) { return (chroma[n].*half)[c]; });
        result[c] = median(values);
    }
    normalise(result);
    return result;
}

} // namespace

ChordEvidence::ChordEvidence(Hearing const& heard, ExpectedMusic const& chart)
    : m_heard(&heard), m_chords(distinct_chords(chart)), m_strokes(heard, m_chords)
{
    std::array<Chroma, 24> triads;
    std::ranges::transform(plain_triads(), triads.begin(), chord_template);
    m_common.reserve(heard.chroma.size());
    m_gap.assign(1, 0.0);
    for (std::size_t n = 0; n < heard.chroma.size(); ++n) {
        float sum = 0;
        for (Chroma const& triad : triads)
            sum += likeness(heard.chroma[n], triad);
        m_common.push_back(sum / static_cast<float>(triads.size()));
        m_gap.push_back(m_gap.back() +
                        (heard.silent[n] ? 0.0 : static_cast<double>(kGap)) * kNatsPerSecond * kChromaStep);
    }
    for (HeardChord const& chord : m_chords)
        m_templates.push_back(chord_template(chord));
    m_sums.resize(m_chords.size());
    for (std::size_t index = 0; index < m_chords.size(); ++index)
        sum_up(index);
}

std::size_t ChordEvidence::index_of(HeardChord const& chord) const
{
    auto const found = std::ranges::lower_bound(m_chords, chord);
    PRECONDITION(found != m_chords.end() && *found == chord);
    return static_cast<std::size_t>(found - m_chords.begin());
}

void ChordEvidence::adapt(std::vector<std::vector<std::size_t>> const& frames_of_chord)
{
    for (std::size_t index = 0; index < m_chords.size(); ++index) {
        auto const& frames = frames_of_chord[index];
        if (frames.empty() || m_chords[index].silent())
            continue;
        Chroma plain = chord_template(m_chords[index]);
        for (auto const half : {&Chroma::treble, &Chroma::bass}) {
            auto const heard = median_of(m_heard->chroma, frames, half);
            for (std::size_t c = 0; c < heard.size(); ++c)
                (plain.*half)[c] = 0.5F * ((plain.*half)[c] + heard[c]);
            normalise(plain.*half);
        }
        m_templates[index] = plain;
        sum_up(index);
    }
}

void ChordEvidence::sum_up(std::size_t index)
{
    bool const no_chord = m_chords[index].silent();
    Sums& sums = m_sums[index];
    sums.assign(1, 0.0);
    sums.reserve(m_common.size() + 1);
    for (std::size_t n = 0; n < m_common.size(); ++n) {
        bool const silent = m_heard->silent[n] != 0;
        float fit = kSilentChord;
        if (no_chord)
            fit = silent ? -kSilentChord : 0.0F;
        else if (!silent)
            fit = likeness(m_heard->chroma[n], m_templates[index]) - m_common[n];
        sums.push_back(sums.back() + static_cast<double>(fit) * kNatsPerSecond * kChromaStep);
    }
}

std::vector<float> ChordEvidence::bass_sums(std::size_t index, double from, double step, int count) const
{
    std::vector<float> sums;
    double sum = 0;
    for (int n = 0; n < count; ++n) {
        sums.push_back(static_cast<float>(sum));
        auto const frame = static_cast<std::ptrdiff_t>(std::lround((from + (n + 0.5) * step) / kChromaStep));
        if (frame < 0 || frame >= std::ssize(m_heard->chroma) || m_heard->silent[static_cast<std::size_t>(frame)])
            continue;
        auto const& bass = m_heard->chroma[static_cast<std::size_t>(frame)].bass;
        sum += static_cast<double>(kBassShare * dot(bass, m_templates[index].bass)) * kNatsPerSecond * step;
    }
    return sums;
}

// Frame n is centred on n hops and so covers the time from n - 1/2 to n + 1/2 hops.
double ChordEvidence::at(Sums const& sums, double seconds)
{
    double const frame = std::clamp(seconds / kChromaStep + 0.5, 0.0, static_cast<double>(sums.size() - 1));
    auto const whole = std::min(static_cast<std::size_t>(frame), sums.size() - 2);
    return std::lerp(sums[whole], sums[whole + 1], frame - static_cast<double>(whole));
}

std::vector<float> ChordEvidence::sample(Sums const& sums, double step)
{
    double const seconds = static_cast<double>(sums.size() - 1) * kChromaStep;
    std::vector<float> result(static_cast<std::size_t>(seconds / step) + 1);
    for (std::size_t n = 0; n < result.size(); ++n)
        result[n] = static_cast<float>(at(sums, static_cast<double>(n) * step));
    return result;
}

} // namespace tabard::pipeline
