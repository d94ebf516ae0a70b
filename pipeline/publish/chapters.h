#pragma once
#include "pipeline/media/media_info.h"
#include "pipeline/timeline/timeline.h"

#include <string>
#include <vector>

namespace tabard::pipeline {

/// The parts of the lesson as chapters: rising, without overlap, the first at 0 (under the lesson's title where no part
/// begins there), the last to the end of the film. Titles are one line and never empty.
std::vector<Chapter> chapters_of(Lesson const& lesson, Timeline const& timeline);

/// What the places that read chapters out of a description want and these are not: first at 0:00, three at least, each
/// of ten seconds at least (common practice, no published source). One sentence each.
std::vector<std::string> chapter_warnings(std::vector<Chapter> const& chapters);

/// "0:00 Welcome", a line each.
std::string chapter_list(std::vector<Chapter> const& chapters);

/// The chapters in FFmpeg's metadata file format, for `ffmpeg -i film.mp4 -i chapters.ffmeta -map_metadata 1 -codec
/// copy`.
std::string ffmetadata(std::string const& title, std::vector<Chapter> const& chapters);

} // namespace tabard::pipeline
