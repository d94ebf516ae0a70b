#include "pipeline/listen/stroke_evidence.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace tabard::pipeline {

namespace {

constexpr float kNats = 11;       ///< for a clear stroke that fits wholly
constexpr float kLouder = 4;      ///< a stroke counts fully from a quarter of what sounds after it on: a bass note does
constexpr float kFaintest = 0.1F; ///< novelty of what counts as a stroke
constexpr double kCrowded = 0.15; ///< seconds to the next stroke: within the windows both sound
constexpr double kAlone = 0.30;
constexpr double kPeak = 0.03; ///< seconds from the start of a stroke by which its novelty has peaked

/// How strongly each pitch class sounds about an instant, as far as the recording goes.
PitchClasses strength(Hearing const& heard, PitchClasses Chroma::*half, double seconds)
{
    auto const frame = std::clamp<std::ptrdiff_t>(std::lround(seconds / kChromaStep), 0, std::ssize(heard.chroma) - 1);
    auto const n = static_cast<std::size_t>(frame);
    PitchClasses result = heard.chroma[n].*half;
    for (float& value : result)
        value *= value * heard.levels[n]; // shares of what sounds
    return result;
}

struct Beginning {
    Chroma sound;
    float share = 0; ///< of all that sounds after the instant, 0 to 1
};

/// What sounds after an instant and did not before it. The windows of the chroma are a fifth and more than a third of a
/// second long.
Beginning what_begins(Hearing const& heard, double seconds)
{
    constexpr float kDecay = 0.9F;
    struct Half {
        PitchClasses Chroma::*classes;
        double before;
        double after;
    };
    Beginning result;
    float all = 1e-9F;
    float begun = 0;
    for (auto const& [classes, before, after] : {Half{&Chroma::treble, 0.10, 0.13}, Half{&Chroma::bass, 0.16, 0.17}}) {
        auto const old = strength(heard, classes, seconds - before);
        auto const now = strength(heard, classes, seconds + after);
        for (std::size_t c = 0; c < now.size(); ++c) {
            float const more = std::max(0.0F, now[c] - kDecay * old[c]);
            all += now[c];
            begun += more;
            (result.sound.*classes)[c] = std::sqrt(more);
        }
        normalise(result.sound.*classes);
    }
    result.share = begun / all;
    return result;
}

std::vector<std::size_t> strokes_in(std::vector<float> const& novelty)
{
    std::vector<std::size_t> strokes;
    for (std::size_t n = 1; n + 1 < novelty.size(); ++n)
        if (novelty[n] >= kFaintest && novelty[n] >= novelty[n - 1] && novelty[n] > novelty[n + 1])
            strokes.push_back(n);
    return strokes;
}

} // namespace

StrokeEvidence::StrokeEvidence(Hearing const& heard, std::span<HeardChord const> chords)
    : m_sums(chords.size(), Sums(heard.novelty.size() + 1))
{
    std::vector<Chroma> templates;
    for (HeardChord const& chord : chords)
        templates.push_back(chord_template(chord));
    std::array<Chroma, 24> triads;
    std::ranges::transform(plain_triads(), triads.begin(), chord_template);
    auto const strokes = strokes_in(heard.novelty);
    std::size_t next = 0;
    for (std::size_t n = 0; n < heard.novelty.size(); ++n) {
        for (Sums& sums : m_sums)
            sums[n + 1] = sums[n];
        if (next == strokes.size() || strokes[next] != n)
            continue;
        ++next;
        double const alone = next < strokes.size() ? static_cast<double>(strokes[next] - n) * kNoveltyStep : kAlone;
        auto const begins = what_begins(heard, static_cast<double>(n) * kNoveltyStep);
        float const nats = kNats * certainty(heard.novelty[n]) * std::min(1.0F, kLouder * begins.share) *
                           static_cast<float>(std::clamp((alone - kCrowded) / (kAlone - kCrowded), 0.0, 1.0));
        float common = 0;
        for (Chroma const& triad : triads)
            common += likeness(begins.sound, triad) / static_cast<float>(triads.size());
        for (std::size_t index = 0; index < chords.size(); ++index)
            if (!chords[index].silent())
                m_sums[index][n + 1] += nats * (likeness(begins.sound, templates[index]) - common);
    }
}

double StrokeEvidence::at(Sums const& sums, double seconds)
{
    auto const n = std::lround((seconds - kPeak) / kNoveltyStep);
    return static_cast<double>(sums[static_cast<std::size_t>(std::clamp<long>(n, 0, std::ssize(sums) - 1))]);
}

} // namespace tabard::pipeline
