#pragma once
#include "pipeline/cues/lesson.h"
#include "pipeline/retime/retime_report.h"
#include "pipeline/time/edit_map.h"
#include "pipeline/timeline/timeline.h"

#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// A cue on the timeline that an editing program is to see.
struct ExportCue {
    CueKind kind = CueKind::chord;
    std::string name;
    std::string section;
    int bar = 0; ///< of a played chord, from 1; else 0
    Interval on_screen;
};

/// A lesson for an editing program: its cues over the film, and how that film is cut from the footage.
struct ExportJob {
    std::string title;
    std::string footage;       ///< file that the kept stretches are of
    std::string footage_label; ///< timecode of its first picture, where the camera wrote one
    Time footage_length{0};    ///< 0 where it is not known
    FrameRate rate;
    EditMap cut;    ///< of the footage; the identity where it is shown as it is
    Time length{0}; ///< of the film
    std::vector<ExportCue> cues;
};

/// A file, and what its format could not hold, one sentence each.
struct Exported {
    std::string text;
    std::vector<std::string> remarks;
};

/// Sections, chords, strums and texts of a timeline, in order of time.
std::vector<ExportCue> export_cues(Lesson const& lesson, Timeline const& timeline);

/// The colour of a cue's marker, by the names that OpenTimelineIO gives colours (Marker.Color).
std::string_view marker_colour(CueKind kind);

/// A CMX 3600 edit list (SMPTE 258M): an event for each kept stretch, speeds as M2 lines, each cue a comment in
/// words (`* AT 01:00:02:10: chord G, bar 3 (1.20 s)`). Labels count from the footage's own timecode or 00:00:00:00,
/// and from 01:00:00:00 in the film; drop-frame as the footage's, else at 29.97 and 59.94. All times are brought to
/// frames: cues to the first frame that shows them.
Exported export_edl(ExportJob const& job);
/// OpenTimelineIO: a picture track of the kept stretches, a disabled track of clips for each kind of cue, and markers
/// on the stack. Times are exact. Names are on one line: other programs make lists of them.
Exported export_otio(ExportJob const& job);
/// Comma-separated values (RFC 4180), a line a cue: from, to, kind, name, section, bar. A name that a spreadsheet would
/// run as a formula has an apostrophe before it.
Exported export_csv(ExportJob const& job);
/// WebVTT with the chords as cues.
Exported export_vtt(ExportJob const& job);

} // namespace tabard::pipeline
