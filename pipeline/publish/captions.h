#pragma once
#include "pipeline/cues/lesson.h"
#include "pipeline/timeline/timeline.h"

#include <string>
#include <vector>

namespace tabard::pipeline {

/// One caption over [from, to). `text` is WebVTT cue text: & and < escaped, lines divided by \n, none empty.
struct Caption {
    Time from{0};
    Time to{0};
    std::string text;
    std::string id{};
    std::string settings{}; ///< WebVTT cue settings as written: "line:0 align:start"
    friend bool operator==(Caption const&, Caption const&) = default;
};

/// What is on screen, for those who cannot see it: names of parts, chord changes, strum patterns, text cards. Rising,
/// without overlap, each at least `kShortestCaption` long.
std::vector<Caption> captions_of(Lesson const& lesson, Timeline const& timeline);
constexpr Time kShortestCaption{kFlicksPerSecond / 2};

/// How captions of a person and those of the screen are brought together. The person's are kept as they are in both.
enum class MergeStyle {
    on_top,  ///< WebVTT: the screen's stand at the top of the picture, and give way only to cues that are placed too
    in_gaps, ///< SubRip, which has no places: the screen's fill the gaps
};
/// Both in order of time; no two of them would stand on the same lines at the same time.
std::vector<Caption> merge_captions(std::vector<Caption> const& speech, std::vector<Caption> const& screen,
                                    MergeStyle style);

/// A pattern said in words: "down, pass, tap, up".
std::string strum_words(overlay::StrumPattern const& pattern);

} // namespace tabard::pipeline
