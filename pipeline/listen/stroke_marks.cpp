#include "pipeline/listen/stroke_marks.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace tabard::pipeline {

namespace {

constexpr double kNear = 0.06; // of a beat: hands and swing are no more even than that

/// How finely the strokes divide a beat: halves at least.
int steps_of(std::vector<ExpectedStroke> const& strokes)
{
    for (int const steps : {2, 3, 4})
        if (std::ranges::all_of(strokes, [=](ExpectedStroke const& stroke) {
                double const place = stroke.beat * steps;
                return std::abs(place - std::round(place)) < kNear * steps;
            }))
            return steps;
    return 6;
}

} // namespace

std::vector<BeatMarks> stroke_marks(ExpectedStrokes const& pattern)
{
    auto const& strokes = pattern.strokes;
    if (strokes.empty() || pattern.beats < 1)
        return {BeatMarks{}};
    int const steps = steps_of(strokes);
    std::vector<BeatMarks> marks(static_cast<std::size_t>(pattern.beats));
    for (int beat = 0; beat < pattern.beats; ++beat) {
        BeatMarks& here = marks[static_cast<std::size_t>(beat)];
        here.known = true;
        auto const stroke_at = [&](double place) {
            return std::ranges::find_if(
                strokes, [=](ExpectedStroke const& stroke) { return std::abs(stroke.beat - place) < kNear; });
        };
        if (auto const on_beat = stroke_at(beat); on_beat != strokes.end())
            here.weight = on_beat->weight;
        for (int step = 1; step < steps; ++step) {
            double const share = static_cast<double>(step) / steps;
            if (stroke_at(beat + share) == strokes.end())
                here.inside.push_back({share, -1});
        }
        for (ExpectedStroke const& stroke : strokes)
            if (stroke.beat > beat + kNear && stroke.beat < beat + 1 - kNear)
                here.inside.push_back({stroke.beat - beat, stroke.weight});
        std::ranges::sort(here.inside, {}, &StrokeMark::share);
        here.rings_after = here.full_after = pattern.beats;
        for (ExpectedStroke const& stroke : strokes) {
            double const ahead = std::fmod(stroke.beat - beat + pattern.beats + kNear, pattern.beats) - kNear;
            if (stroke.ringing)
                here.rings_after = std::min(here.rings_after, std::max(ahead, 0.0));
            if (stroke.ringing && stroke.full)
                here.full_after = std::min(here.full_after, std::max(ahead, 0.0));
        }
    }
    return marks;
}

BeatMarks const& marks_of(std::vector<BeatMarks> const& marks, ExpectedPart const& part, int beat)
{
    return marks[static_cast<std::size_t>(beat + part.first_in_bar) % marks.size()];
}

} // namespace tabard::pipeline
