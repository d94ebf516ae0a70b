#include "pipeline/listen/chart_path.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {

namespace {

/// Beats that were played once more are as if they had not been played before.
void forget_from(int beat, ChartPath& path)
{
    std::erase_if(path.stretches, [beat](PlayedStretch const& stretch) { return stretch.first_beat >= beat; });
    if (!path.stretches.empty() && path.stretches.back().end_beat() > beat)
        path.stretches.back().seconds.resize(static_cast<std::size_t>(beat - path.stretches.back().first_beat) + 1);
    std::erase_if(path.deviations, [beat](Deviation const& d) { return d.beat >= beat || d.next_beat > beat; });
}

/// When beat `beat` would have come for the first time.
double first_time(ChartPath const& path, int beat)
{
    for (Deviation const& deviation : path.deviations)
        if (deviation.beat == beat && deviation.next_beat == beat)
            return deviation.from;
    for (PlayedStretch const& stretch : path.stretches)
        if (stretch.end_beat() >= beat)
            return stretch.seconds[static_cast<std::size_t>(std::max(beat - stretch.first_beat, 0))];
    return path.stretches.back().seconds.back();
}

double mean_length(PlayedStretch const& stretch)
{
    return (stretch.seconds.back() - stretch.seconds.front()) / (stretch.end_beat() - stretch.first_beat);
}

/// Whether the beats from the end of one stretch to the start of another fill the time between them.
bool in_time(PlayedStretch const& before, PlayedStretch const& after, int beats_per_bar)
{
    constexpr double kOff = 0.6; // beats
    int const beats = after.first_beat - before.end_beat();
    if (beats <= 0 || beats > 3 * beats_per_bar)
        return false;
    double const length = (mean_length(before) + mean_length(after)) / 2;
    return std::abs((after.seconds.front() - before.seconds.back()) / length - beats) < kOff;
}

/// One stretch of both, with even beats between them.
PlayedStretch joined(PlayedStretch before, PlayedStretch const& after)
{
    int const beats = after.first_beat - before.end_beat();
    double const from = before.seconds.back();
    for (int beat = 1; beat < beats; ++beat)
        before.seconds.push_back(std::lerp(from, after.seconds.front(), static_cast<double>(beat) / beats));
    before.seconds.insert(before.seconds.end(), after.seconds.begin(), after.seconds.end());
    return before;
}

} // namespace

PartWalk without_detours(PartWalk walk, int beats_per_bar)
{
    auto& stretches = walk.stretches;
    for (std::size_t before = 0; before < stretches.size(); ++before)
        for (std::size_t after = stretches.size() - 1; after > before; --after)
            if (in_time(stretches[before], stretches[after], beats_per_bar)) {
                stretches[before] = joined(stretches[before], stretches[after]);
                stretches.erase(stretches.begin() + static_cast<std::ptrdiff_t>(before) + 1,
                                stretches.begin() + static_cast<std::ptrdiff_t>(after) + 1);
                break;
            }
    return walk;
}

ChartPath chart_path(PartWalk const& walk)
{
    ChartPath path;
    for (PlayedStretch const& next : walk.stretches) {
        if (!path.stretches.empty()) {
            int const left = path.stretches.back().end_beat();
            double const to = next.seconds.front();
            Deviation deviation{
                Deviation::Kind::pause, left, next.first_beat, path.stretches.back().seconds.back(), to, 0};
            if (next.first_beat > left) {
                deviation.kind = Deviation::Kind::skipped;
            } else if (next.first_beat < left) {
                deviation = {
                    Deviation::Kind::again, next.first_beat, next.first_beat, first_time(path, next.first_beat), to,
                    next.first_beat};
                forget_from(next.first_beat, path);
            }
            deviation.margin = next.margin;
            path.deviations.push_back(deviation);
        }
        path.stretches.push_back(next);
    }
    return path;
}

} // namespace tabard::pipeline
