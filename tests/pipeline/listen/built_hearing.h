#pragma once
#include "pipeline/listen/chord_template.h"
#include "pipeline/listen/hearing.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace tabard::tests {

/// A stroke over all strings at once, and the chord that sounds from it on.
struct BuiltStroke {
    double seconds = 0;
    pipeline::HeardChord chord;
};

/// What would be heard of such strokes, without a sound: each chord sounds as its template says until the next stroke,
/// and a chroma frame hears of both what its window covers (4096 samples for the treble, 8192 for the bass). Before the
/// first stroke and 2 s after the last all is silent.
inline pipeline::Hearing hearing_of(std::vector<BuiltStroke> const& strokes, double seconds)
{
    using namespace pipeline;
    constexpr double kRings = 2;
    Hearing heard;
    heard.samples = static_cast<std::size_t>(seconds * kListenRate);
    auto const covers = [](double from, double to, double centre, double window) {
        double const first = std::max(from, centre - window / 2);
        return static_cast<float>(std::max(0.0, std::min(to, centre + window / 2) - first) / window);
    };
    for (std::size_t n = 0; n < heard.samples / kChromaHop + 1; ++n) {
        double const at = static_cast<double>(n) * kChromaStep;
        Chroma chroma;
        float level = 0;
        for (std::size_t k = 0; k < strokes.size(); ++k) {
            double const from = strokes[k].seconds;
            double const to = k + 1 < strokes.size() ? strokes[k + 1].seconds : from + kRings;
            auto const chord = chord_template(strokes[k].chord);
            float const treble = covers(from, to, at, 4096.0 / kListenRate);
            float const bass = covers(from, to, at, 8192.0 / kListenRate);
            for (std::size_t c = 0; c < 12; ++c) {
                chroma.treble[c] += treble * chord.treble[c];
                chroma.bass[c] += bass * chord.bass[c];
            }
            level += 0.1F * treble;
        }
        normalise(chroma.treble);
        normalise(chroma.bass);
        heard.chroma.push_back(chroma);
        heard.levels.push_back(level);
        heard.silent.push_back(level < 1e-3F ? 1 : 0);
    }
    heard.novelty.resize(heard.samples / kNoveltyHop + 1);
    heard.bass_novelty.resize(heard.novelty.size());
    heard.rises.assign(heard.samples / kRiseHop + 1, 1e-6F);
    for (BuiltStroke const& stroke : strokes) {
        auto const peak = static_cast<std::size_t>(std::lround(stroke.seconds / kNoveltyStep)) + 1;
        for (std::size_t const n : {peak - 1, peak, peak + 1})
            heard.novelty[n] = heard.bass_novelty[n] = n == peak ? 1.0F : 0.5F;
        auto const start = static_cast<std::size_t>(std::lround(stroke.seconds * kListenRate / kRiseHop));
        for (std::size_t n = start; n < heard.rises.size(); ++n) {
            double const since = static_cast<double>(n - start) * kRiseHop / kListenRate;
            heard.rises[n] = 1e-6F + static_cast<float>(std::exp(-since / 0.1)); // a struck string's noise dies soon
        }
    }
    return heard;
}

} // namespace tabard::tests
