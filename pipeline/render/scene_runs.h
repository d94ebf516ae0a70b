#pragma once
#include "overlay/drawing/scene.h"
#include "pipeline/time/time.h"
#include "pipeline/timeline/timeline.h"

#include <vector>

namespace tabard::pipeline {

/// One scene, on screen over [in, out).
struct SceneRun {
    Time in{0};
    Time out{0};
    overlay::Scene scene;
    friend bool operator==(SceneRun const&, SceneRun const&) = default;
};

/// How much later than an instant a picture may begin and still be the one on screen at it: times that people and
/// programs write are rounded to the millisecond.
constexpr Time kOnScreenSlack = from_ticks(1, 1, 1000);

/// A picture that stays longer is shown again where overlays change meanwhile, as in films of screen recorders, which
/// write a picture only when something moves. Up to here an overlay may come early.
constexpr Time kLongestPicture{kFlicksPerSecond / 2};

/// The scenes of a film that show anything, rising and without overlap; equal neighbours are one.
///
/// Never late: an overlay is there on the picture that is on screen at its in-point (the last whose time is at most
/// kOnScreenSlack after it) and gone on the one that is on screen at its out-point, whatever the frame rate does. Late
/// is noticed at 45 ms, early at 125 ms (ITU-R BT.1359-1).
class SceneRuns {
public:
    SceneRuns() = default;
    /// `runs` rise and do not overlap; empty scenes are dropped.
    explicit SceneRuns(std::vector<SceneRun> runs);
    static SceneRuns of(Timeline const& timeline);

    /// The run on screen at `time`, or null where nothing is shown. Valid as long as this is.
    SceneRun const* at(Time time) const;
    /// The run on a picture that is on screen over [from, until).
    SceneRun const* on_picture(Time from, Time until) const;
    /// When a picture that is on screen over [from, until) must be shown again: rising, none where it is short.
    std::vector<Time> repeats(Time from, Time until) const;
    /// The times of a film's pictures with those of repeated ones. `times` rise; the last picture stays until `end`.
    std::vector<Time> with_repeats(std::vector<Time> const& times, Time end) const;
    /// These runs as the pictures of a film show them: each run begins and ends with a picture, be it a repeated one.
    SceneRuns on_pictures(std::vector<Time> const& times, Time end) const;
    std::vector<SceneRun> const& all() const { return m_runs; }

private:
    std::vector<SceneRun> m_runs;
};

} // namespace tabard::pipeline
