#pragma once
#include "pipeline/cues/lesson.h"
#include "pipeline/time/edit_map.h"
#include "pipeline/timeline/timeline.h"

#include <optional>
#include <vector>

namespace tabard::pipeline {

/// What will be one section of the new film: stretches of one old section that touch in the new film. At most one of
/// them holds a part of its bars, so that one tempo map serves.
struct SectionPart {
    std::vector<KeptSpan> stretches; ///< in the order of the new film
    std::optional<KeptSpan> music;   ///< the stretch that holds bars

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
