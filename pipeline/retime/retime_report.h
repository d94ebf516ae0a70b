#pragma once
#include "pipeline/cues/source_position.h"
#include "pipeline/time/edit_map.h"

#include <array>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

enum class CueKind { section, count_in, chord, strum, text };
inline constexpr std::array kCueKinds{CueKind::section, CueKind::count_in, CueKind::chord, CueKind::strum,
                                      CueKind::text};
inline constexpr std::array kFates{Fate::moved, Fate::trimmed, Fate::split, Fate::repeated, Fate::lost};

/// "section", "chord", "count-in": as a report and an export name them.
std::string_view cue_kind_name(CueKind kind);

/// One cue of the old film and what became of it.
struct RetimedCue {
    CueKind kind = CueKind::section;
    std::string name;            ///< of the section; the chord; the strum; the text
    std::string section;         ///< in which it stands
    int bar = 0;                 ///< of a played chord, from 1; else 0
    SourcePosition at;           ///< in the old cue file
    Interval before;             ///< in the old film
    std::vector<Interval> after; ///< in the new film; pieces that touch are one, but where some repeat
    Fate fate = Fate::lost;
    std::string why; ///< where it could not follow for another reason than that it was cut out
    friend bool operator==(RetimedCue const&, RetimedCue const&) = default;
};

/// What a new cut did to all cues of a lesson, in the order of the old film.
struct RetimeReport {
    std::vector<RetimedCue> cues;
    std::vector<std::string> remarks;
    std::vector<std::string> warnings{}; ///< of what puts all cues at wrong times

    int count(CueKind kind, Fate fate) const;
    int count(CueKind kind) const; ///< of all fates
};

/// The report for a person: a table of counts, and each cue that did not simply move with its line in `file`.
std::string report_text(RetimeReport const& report, std::string const& file);
/// The report for a program: {"version": 1, "counts": ..., "cues": [...], "remarks": [...], "warnings": [...]}.
std::string report_json(RetimeReport const& report, std::string const& file);

} // namespace tabard::pipeline
