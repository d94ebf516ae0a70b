#pragma once
#include "pipeline/time/edit_map.h"
#include "pipeline/timeline/timeline.h"

#include <map>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// A pause shorter than this is a breath: the overlays wait as they are. In a longer one they rest, as before the first
/// beat: what comes is seen, and nothing is counted.
constexpr Time kShortestRest{kFlicksPerSecond};

/// From when on what begins at a place is seen, and until when what ends there: when it is played, and in a rest from
/// the moment at which the playing stops.
Time shown_at(TempoMap const& map, std::int64_t offset);

/// The rest that a time lies in.
std::optional<Interval> rest_at(TempoMap const& map, Time time);

/// The rests of a map inside `bounds`, rising.
std::vector<Interval> rests_of(TempoMap const& map, Interval bounds);

/// The rests of each part, by its index in the lesson.
std::map<int, std::vector<Interval>> rests_by_section(std::vector<SectionSpan> const& sections);

/// What single cues of one kind take of the rests of all parts: nothing that is played is shown then in their place. A
/// time between that is too short to be seen goes with them. Rising, apart.
std::vector<Interval> taken_in_rests(std::vector<SectionSpan> const& sections, std::vector<ChordSpan> const& chords);
std::vector<Interval> taken_in_rests(std::vector<SectionSpan> const& sections, std::vector<StrumSpan> const& strums);

/// What is left of a stretch without those that are `taken` (rising, apart).
std::vector<Interval> without(Interval stretch, std::vector<Interval> const& taken);

} // namespace tabard::pipeline
