#pragma once
#include "cli/console.h"
#include "cli/cut_options.h"
#include "pipeline/media/media_info.h"
#include "pipeline/retime/lesson_file.h"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace tabard::cli {

/// Which lesson a command works on: a cue file, seen through a cut or not.
struct LessonArguments {
    std::filesystem::path cues;
    CutArguments through;
    std::filesystem::path footage; ///< the film after the cut; empty: the one the cue file names
};

/// Adds CUES, --through and what belongs to it.
void add_lesson_options(CLI::App& command, LessonArguments& arguments);

/// A lesson with the film that its times are of.
struct OpenedLesson {
    pipeline::Lesson lesson;                 ///< lesson.footage is the film
    std::vector<pipeline::Finding> findings; ///< of the reader, warnings and advice alone
    std::optional<pipeline::MediaInfo> film; ///< none where it cannot be read: film_error says why
    std::optional<Error> film_error;
    pipeline::MediaFacts facts; ///< of the film, else of what the cue file notes about it
};

/// Opens it. Fails as read_lesson() and read_cut() do, and with invalid_input where the cue file has errors, all of
/// which are then named. A film that is missing is no failure here: sheets and checks can do without.
Result<OpenedLesson> open_lesson(LessonArguments const& arguments);

/// The same for the cue file alone, as it was written: what retime needs.
struct OpenedFile {
    pipeline::LessonFile file;
    std::optional<pipeline::MediaInfo> film;
    std::optional<Error> film_error;
    pipeline::MediaFacts facts;
};
Result<OpenedFile> open_lesson_file(std::filesystem::path const& cues);
/// The film before the cut, as a cut list needs to know it.
OldFilm old_film(OpenedFile const& opened);
/// Fails with invalid_input where the file is there and `force` does not say to replace it. No name is no file.
Result<void> check_may_write(std::filesystem::path const& file, bool force);

/// Facts that a timeline needs, of a film that was probed.
pipeline::MediaFacts facts_of(pipeline::MediaInfo const& film);

/// "lesson.json:12:5: warning: what is wrong; how to mend it [code]".
std::string finding_line(std::filesystem::path const& file, pipeline::Finding const& finding);

/// A file as another one names it: relative to that one's folder where that is possible.
std::string name_beside(std::filesystem::path const& file, std::filesystem::path const& other);

} // namespace tabard::cli
