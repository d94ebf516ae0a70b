#include "pipeline/listen/chord_fit.h"

#include "pipeline/listen/chord_template.h"

#include <algorithm>

namespace tabard::pipeline {

namespace {

constexpr float kClearLead = 0.06F; ///< likeness by which another triad must fit better before we say so
constexpr float kNoLead = 0.02F;

/// The mean chroma of a stretch without its edges, where two chords sound together.
Chroma mean_chroma(Hearing const& heard, double from, double to)
{
    constexpr double kAfterStroke = 0.08;
    constexpr double kBeforeNext = 0.06;
    auto const frame = [&](double seconds) {
        return std::clamp<std::ptrdiff_t>(static_cast<std::ptrdiff_t>(seconds / kChromaStep), 0,
                                          std::ssize(heard.chroma) - 1);
    };
    Chroma mean;
    for (auto n = frame(from + kAfterStroke); n <= frame(std::max(to - kBeforeNext, from + kAfterStroke)); ++n)
        for (auto const half : {&Chroma::treble, &Chroma::bass})
            for (std::size_t c = 0; c < mean.treble.size(); ++c)
                (mean.*half)[c] += (heard.chroma[static_cast<std::size_t>(n)].*half)[c];
    normalise(mean.treble);
    normalise(mean.bass);
    return mean;
}

bool holds(HeardChord const& chord, HeardChord const& triad)
{
    return std::ranges::all_of(triad.tones,
                               [&](int tone) { return std::ranges::find(chord.tones, tone) != chord.tones.end(); });
}

/// The chord on paper, or it without what is added: players leave sevenths and ninths out.
float paper_likeness(Chroma const& sound, HeardChord const& expected)
{
    HeardChord plain = expected;
    plain.tones.resize(std::min<std::size_t>(plain.tones.size(), 3));
    return std::max(likeness(sound, chord_template(expected)), likeness(sound, chord_template(plain)));
}

} // namespace

ChordFit judge_chord(Hearing const& heard, HeardChord const& expected, double from, double to)
{
    if (expected.silent())
        return {};
    auto const sound = mean_chroma(heard, from, to);
    float const paper = paper_likeness(sound, expected);
    ChordFit result;
    float best = -1;
    for (HeardChord const& triad : plain_triads()) {
        if (holds(expected, triad))
            continue;
        float const like = likeness(sound, chord_template(triad));
        if (like > best) {
            best = like;
            result.sounds_like = triad;
        }
    }
    result.lead = static_cast<double>(best - paper);
    bool const plain = expected.tones.size() == 3 && expected.bass == expected.tones.front();
    if (result.lead > static_cast<double>(kClearLead))
        result.fit = Fit::differs;
    else if (plain && result.lead < static_cast<double>(kNoLead))
        result.fit = Fit::fits;
    return result;
}

double share_as_written(ChordFit const& chord)
{
    return chord.fit == Fit::differs ? -0.5 : std::clamp(0.5 - 10 * chord.lead, 0.0, 1.0);
}

} // namespace tabard::pipeline
