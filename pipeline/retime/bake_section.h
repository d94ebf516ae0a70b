#pragma once
#include "pipeline/cues/cue_document.h"
#include "pipeline/retime/section_part.h"

#include <map>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// Where a single cue of a talk is on screen in the old film, by its place in the cue file.
struct ShownCue {
    enum class Kind { chord, strum, text };
    Kind kind = Kind::chord;
    Interval on_screen;
};
using ShownCues = std::map<SourcePosition, ShownCue>;

/// A section of the new cue file.
struct BakedSection {
    JsonValue json;
    Interval target;
    std::size_t origin = 0; ///< index into the old lesson's sections
    bool has_music = false;
    bool end_is_open = false; ///< no "to" is written: the bars, the next section or the film end it
    bool bars_end_it = false; ///< the end of its bars is where it shall end
};

/// The beats that are counted before bar 1 of a section, and where a cut leaves all of them.
class CountInSeen {
public:
    CountInSeen(SectionSpan const& span, Section const& section, EditMap const& cut);
    /// In the old film; empty without a count-in.
    Interval before() const { return m_before; }
    /// Whether the whole count-in is still seen right before the bar 1 that `music` shows.
    bool leads_to(KeptSpan const& music) const;

private:
    Interval m_before;
    std::vector<Time> m_ends; ///< of whole count-ins in the new film, rising: a search for each part stays short
};

/// What baking one section needs of the old lesson.
struct SectionOrigin {
    JsonValue const* json = nullptr;
    Section const* section = nullptr;
    SectionSpan const* span = nullptr;
    std::size_t index = 0;
    ShownCues const* shown = nullptr;
    EditMap const* cut = nullptr;
    CountInSeen const* count_in = nullptr;
};

/// One section of the new cue file for each part, in the order of the new film.
std::vector<BakedSection> bake(SectionOrigin const& origin, std::vector<SectionPart> const& parts);

} // namespace tabard::pipeline
