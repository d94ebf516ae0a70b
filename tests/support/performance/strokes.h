#pragma once
#include "overlay/music/patterns/strum_pattern.h"
#include "pipeline/listen/expected_music.h"

#include <string_view>
#include <vector>

namespace tabard::tests {

/// One stroke of a bar: when, in beats from the bar line, and what the hand does.
struct Stroke {
    double beat = 0;
    overlay::StrumStep step;
};

/// The strokes of a pattern in the words of the cue file over a bar of `beats` beats; `swing` is where the second of
/// two steps of a beat falls. `words` are a pattern that fits the bar.
std::vector<Stroke> strokes_of(std::string_view words, int beats, double swing = 0.5);

/// The same as the ear meets it.
pipeline::ExpectedStrokes expected_strokes(std::vector<Stroke> const& strokes, int beats);

} // namespace tabard::tests
