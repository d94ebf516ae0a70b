#pragma once
#include "pipeline/cues/lesson.h"
#include "pipeline/time/edit_map.h"
#include "pipeline/timeline/timeline.h"

#include <vector>

namespace tabard::pipeline {

/// What will be one section of the new film: stretches of one old section that touch in the new film. One tempo map
/// serves for its bars: they lie in one stretch, or in several that meet in a pause.
struct SectionPart {
    std::vector<KeptSpan> stretches; ///< in the order of the new film
    std::vector<KeptSpan> music;     ///< those that hold bars

    /// Where its bars lie in the old film. There must be some.
    Interval music_source() const { return {music.front().source.from, music.back().source.to}; }
    Interval target() const { return {stretches.front().target.from, stretches.back().target.to}; }
    /// The old section as a whole, at its old speed: nothing but its place changes.
    bool is_whole(SectionSpan const& span) const;
};

/// How a section is left by a cut. Bars that run backwards or are held still cannot follow: such stretches are left
/// out.
std::vector<SectionPart> parts_of(SectionSpan const& span, EditMap const& cut);

/// The stretches of `all` on which bars, or what is played by them, can be shown.
std::vector<KeptSpan> forward_only(std::vector<KeptSpan> all);

/// Where each stretch is in the new film.
std::vector<Interval> targets(std::vector<KeptSpan> const& stretches);

/// Stretches as the intervals they fill in the new film; those that touch are one.
std::vector<Interval> filled(std::vector<KeptSpan> const& stretches);

} // namespace tabard::pipeline
