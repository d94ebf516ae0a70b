#include "pipeline/listen/beat_evidence.h"

#include "pipeline/listen/part_trellis.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {

namespace {

constexpr float kChangeOnset = 5.0F; ///< nats for a sure onset where a chord changes
constexpr float kBarOnset = 3.0F;    ///< and on the first beat of a bar
constexpr float kBeatOnset = 1.5F;   ///< and on another
constexpr float kChangeBass = 2.0F;  ///< nats for one of the bass strings there
constexpr float kBarBass = 1.0F;
constexpr float kBeatBass = 0.5F;
constexpr float kOutside = 2.0F; ///< nats against a sure onset of the part's chord before or after the part
constexpr float kStroke = 1.0F;  ///< nats for a stroke of the pattern, or against one where the hand passes
constexpr float kStruck = 1.0F;  ///< of what strokes say of the chord: they and what sounds are not independent
constexpr int kRingOut = static_cast<int>(BeatEvidence::kAround / kNoveltyStep);

std::size_t index(int n) { return static_cast<std::size_t>(n); }

} // namespace

BeatEvidence::BeatEvidence(Hearing const& heard, ChordEvidence const& evidence, ExpectedPart const& part, double from,
                           double to, PlayingHabits habits)
    : m_habits(habits),
      m_early(static_cast<float>(std::log(habits.early_share))),
      m_on_time(static_cast<float>(std::log(1 - habits.early_share))),
      m_marks(stroke_marks(part.strokes)),
      m_origin(static_cast<int>(from / kNoveltyStep)),
      m_size(static_cast<int>(to / kNoveltyStep) - m_origin + 1)
{
    m_onsets = read(heard.novelty);
    m_bass = read(heard.bass_novelty);
    widen_onsets();
    sum_strokes();
    m_news = news();
    m_gap = weighted([&](double a, double b) { return evidence.gap(a, b); });
    m_beats = plan(evidence, part);
}

int BeatEvidence::step_at(double seconds) const
{
    return static_cast<int>(std::lround(seconds / kNoveltyStep)) - m_origin;
}

std::vector<BeatEvidence::Beat> BeatEvidence::plan(ChordEvidence const& evidence, ExpectedPart const& part)
{
    std::vector<Beat> beats;
    for (std::size_t n = 0; n < part.spans.size(); ++n)
        for (int inside = 0; inside < part.spans[n].beats; ++inside) {
            Beat beat;
            int const number = static_cast<int>(beats.size());
            beat.pattern = &marks_of(m_marks, part, number);
            beat.chord = &chord(evidence, part.spans[n].chord);
            bool const starts_change = inside == 0 && part.changes(n);
            bool const starts_bar = (number + part.first_in_bar) % part.beats_per_bar == 0;
            bool const known = beat.pattern->known;
            if (known && beat.pattern->weight <= 0) {
                beat.onset = -kStroke;
            } else if (starts_change) {
                beat.onset = kChangeOnset;
                beat.bass = kChangeBass;
            } else if (starts_bar) {
                beat.onset = kBarOnset;
                beat.bass = kBarBass;
            } else {
                beat.onset = kBeatOnset * (known ? static_cast<float>(beat.pattern->weight) : 1.0F);
                beat.bass = kBeatBass;
            }
            beat.changes = starts_change && number > 0;
            beat.passed = beat.changes && beat.pattern->rings_after > 0;
            beat.before = beat.changes ? beats.back().chord : beat.chord;
            // Until a stroke rings, a new chord need not sound, and until one rings over all strings, only its bass.
            if (beat.changes) {
                beat.waiting = std::min(beat.pattern->rings_after, 1.0);
                if (beat.waiting <= 0)
                    beat.filling = known ? std::min(beat.pattern->full_after, 1.0) : m_habits.bass_first ? 1.0 : 0.0;
            }
            beats.push_back(beat);
        }
    return beats;
}

BeatEvidence::Chord const& BeatEvidence::chord(ChordEvidence const& evidence, HeardChord const& wanted)
{
    auto const number = evidence.index_of(wanted);
    auto& [sounds, treble, begins] = m_chords[number];
    if (sounds.empty()) {
        double const from = m_origin * kNoveltyStep;
        sounds = weighted([&](double a, double b) { return evidence.chord(number, a, b); });
        for (int n = 0; n < m_size; ++n)
            begins.push_back(sounds[index(n)] +
                             kStruck * static_cast<float>(evidence.strokes().chord(number, from, seconds_at(n))));
        auto const bass = evidence.bass_sums(number, from, kNoveltyStep, m_size);
        treble.push_back(0);
        for (int n = 1; n < m_size; ++n)
            treble.push_back(treble.back() + sounds[index(n)] - sounds[index(n - 1)] -
                             m_news[index(n - 1)] * (bass[index(n)] - bass[index(n - 1)]));
    }
    return m_chords[number];
}

BeatEvidence::Sums BeatEvidence::read(std::span<float const> novelty) const
{
    Sums onsets(index(m_size));
    for (int n = 0; n < m_size; ++n)
        if (auto const at = m_origin + n; at >= 0 && at < std::ssize(novelty))
            onsets[index(n)] = certainty(novelty[index(at)]);
    return onsets;
}

/// How much new each step says of what sounds: what rings on says less and less.
BeatEvidence::Sums BeatEvidence::news() const
{
    constexpr double kRings = 1.5; // seconds
    constexpr float kLeast = 0.15F;
    auto const fading = static_cast<float>(std::exp(-kNoveltyStep / kRings));
    Sums news;
    float now = 1;
    for (int n = 0; n < m_size; ++n) {
        now = std::max(now * fading, m_onsets[index(n)]);
        news.push_back(std::max(std::min(now, 1.0F), kLeast));
    }
    return news;
}

template <typename Evidence>
BeatEvidence::Sums BeatEvidence::weighted(Evidence const& evidence) const
{
    Sums sums{0};
    for (int n = 1; n < m_size; ++n)
        sums.push_back(sums.back() +
                       m_news[index(n - 1)] * static_cast<float>(evidence(seconds_at(n - 1), seconds_at(n))));
    return sums;
}

/// Strokes between the beats are less even than those on them.
void BeatEvidence::widen_onsets()
{
    constexpr std::ptrdiff_t kUneven = 2;
    for (std::ptrdiff_t n = 0; n < std::ssize(m_onsets); ++n)
        m_wide_onsets.push_back(*std::max_element(m_onsets.begin() + std::max<std::ptrdiff_t>(n - kUneven, 0),
                                                  m_onsets.begin() + std::min(n + kUneven + 1, std::ssize(m_onsets))));
}

void BeatEvidence::sum_strokes()
{
    m_strokes.push_back(0);
    for (std::size_t n = 0; n < m_onsets.size(); ++n) {
        bool const peak = n > 0 && n + 1 < m_onsets.size() && m_onsets[n] > m_onsets[n - 1] &&
                          m_onsets[n] >= m_onsets[n + 1] && m_onsets[n] > 0.5F;
        m_strokes.push_back(m_strokes.back() + (peak ? m_onsets[n] : 0.0F));
    }
}

float BeatEvidence::strokes_between(int from, int to) const
{
    constexpr int kSame = 5; // 58 ms
    return to > from + 2 * kSame ? m_strokes[index(to - kSame)] - m_strokes[index(from + kSame)] : 0.0F;
}

/// What speaks for nothing of the chart and then the first chord, still ringing from another part, until `start`: else
/// a part would begin as soon as its first chord is heard.
float BeatEvidence::before(int start) const
{
    auto const& ringing = m_beats.front().chord->sounds;
    float best = kImpossible;
    for (int at = std::max(start - kRingOut, 0); at <= start; ++at)
        best = std::max(best, m_gap[index(at)] + ringing[index(start)] - ringing[index(at)] -
                                  kOutside * strokes_between(at, start));
    return best;
}

/// What speaks for the last chord ringing on from `at` and then nothing of the chart.
float BeatEvidence::ends(int end) const
{
    auto const& ringing = m_beats.back().chord->sounds;
    float best = kImpossible;
    for (int at = end; at < std::min(m_size, end + kRingOut); ++at)
        best = std::max(best, ringing[index(at)] - ringing[index(end)] - m_gap[index(at)] -
                                  kOutside * strokes_between(end, at));
    return best;
}

/// What an onset, or none, at a step says for a beat there.
float BeatEvidence::on_beat(Beat const& beat, int at) const
{
    return beat.onset * m_onsets[index(at)] + beat.bass * m_bass[index(at)];
}

/// What the strokes and rests inside a beat say.
float BeatEvidence::inside(BeatMarks const& pattern, int start, int length) const
{
    float sum = 0;
    for (StrokeMark const& mark : pattern.inside)
        sum +=
            static_cast<float>(mark.weight) * m_wide_onsets[index(start + static_cast<int>(mark.share * length + 0.5))];
    return kStroke * sum;
}

inline BeatEvidence::Passage BeatEvidence::passage(Beat const& beat, Beat const* next, int start, int length) const
{
    auto const over = [](Sums const& sums, int from, int to) { return sums[index(to)] - sums[index(from)]; };
    int const end = start + length;
    float base = inside(*beat.pattern, start, length);
    if (beat.waiting > 0) {
        int const rings = start + static_cast<int>(beat.waiting * length);
        base += std::max(0.0F, over(beat.before->sounds, start, rings) - over(beat.chord->sounds, start, rings));
    }
    if (beat.filling > 0) {
        int const full = start + static_cast<int>(beat.filling * length);
        base += std::max(0.0F, over(beat.before->treble, start, full) - over(beat.chord->treble, start, full));
    }
    float on_time = base + over(beat.chord->begins, start, end);
    if (!next)
        return {on_time, false};
    on_time += on_beat(*next, end);
    if (!next->changes)
        return {on_time, false};
    int const half = start + length / 2;
    float early = base + over(beat.chord->begins, start, half) + over(next->chord->begins, half, end);
    if (next->passed) { // of a pattern every stroke counts as it is
        early -= kStroke * m_onsets[index(end)];
    } else {
        on_time += m_on_time;
        early += kChangeOnset * m_onsets[index(half)] + m_early; // the beat's own stroke came before it
    }
    return {std::max(on_time, early), early > on_time};
}

void BeatEvidence::passages(int number, int start, int shortest, std::span<Passage> longer) const
{
    Beat const& beat = m_beats[index(number)];
    Beat const* next = index(number + 1) < m_beats.size() ? &m_beats[index(number + 1)] : nullptr;
    for (int n = 0; n < std::ssize(longer); ++n)
        longer[index(n)] = passage(beat, next, start, shortest + n);
}

} // namespace tabard::pipeline
