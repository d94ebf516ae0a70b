#include "tests/support/performance/strokes.h"

#include "overlay/base/precondition.h"

#include <cmath>

namespace tabard::tests {

using Motion = overlay::StrumStep::Motion;

std::vector<Stroke> strokes_of(std::string_view words, int beats, double swing)
{
    auto const pattern = overlay::StrumPattern::parse(words);
    PRECONDITION(pattern.has_value());
    auto const& steps = pattern->steps;
    double const beats_a_step = static_cast<double>(beats) / static_cast<double>(steps.size());
    std::vector<Stroke> strokes;
    for (std::size_t n = 0; n < steps.size(); ++n) {
        if (steps[n].motion == Motion::rest)
            continue;
        double beat = static_cast<double>(n) * beats_a_step;
        if (beats_a_step == 0.5 && n % 2 == 1)
            beat = std::floor(beat) + swing;
        strokes.push_back({beat, steps[n]});
    }
    return strokes;
}

pipeline::ExpectedStrokes expected_strokes(std::vector<Stroke> const& strokes, int beats)
{
    pipeline::ExpectedStrokes expected{{}, beats};
    for (Stroke const& stroke : strokes) {
        double weight = stroke.step.motion == Motion::down ? 1 : stroke.step.motion == Motion::up ? 0.8 : 0.6;
        weight *= stroke.step.accent ? 1.4 : 1;
        weight *= stroke.step.muted ? 0.5 : 1;
        bool const full = stroke.step.motion != Motion::pluck || stroke.step.plucks.size() > 2;
        expected.strokes.push_back({stroke.beat, weight, !stroke.step.muted, full});
    }
    return expected;
}

} // namespace tabard::tests
