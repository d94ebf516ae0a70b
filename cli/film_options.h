#pragma once
#include "cli/open_lesson.h"
#include "pipeline/render/compositor.h"
#include "pipeline/timeline/timeline.h"

#include <string>

namespace tabard::cli {

/// What every command that shows overlays asks for.
struct FilmOptions {
    LessonArguments lesson;
    std::string level = "full";
    std::string theme; ///< empty: the lesson's, else the default
    bool left_handed = false;
};
void add_film_options(CLI::App& command, FilmOptions& options);

/// A cue file with the footage it names, resolved.
struct LessonOnFootage {
    pipeline::Lesson lesson;
    pipeline::MediaInfo footage; ///< `video` is always there
    pipeline::Timeline timeline;
    pipeline::Look look;
};

/// Says on the console how many warnings the cue file has. Fails where it has errors or its footage cannot be read.
Result<LessonOnFootage> load(FilmOptions const& options, Console const& console);

/// A time as people write it ("1:02.5", or a label with frames at the footage's rate).
Result<pipeline::Time> parse_film_time(std::string const& text, pipeline::MediaInfo const& footage,
                                       std::string const& option);

} // namespace tabard::cli
