#pragma once
#include "cli/console.h"
#include "cli/theme_input.h"
#include "pipeline/render/compositor.h"
#include "pipeline/workspace/workspace.h"

#include <string>

namespace CLI {
class App;
}

namespace tabard::cli {

/// What becomes of a lesson whose film would show titles alone.
enum class WithoutChords { show, refuse };

/// What every command that shows overlays asks for.
struct FilmOptions {
    pipeline::LessonRequest lesson;
    std::string theme; ///< empty: the lesson's, else the default
    bool left_handed = false;
    KnownFacts facts = KnownFacts::keep;
    WithoutChords without_chords = WithoutChords::show;
};
void add_film_options(CLI::App& command, FilmOptions& options);

/// A lesson whose film can be read, and how its overlays look on it.
struct LessonOnFilm {
    pipeline::OpenedLesson opened; ///< film.headers are there
    pipeline::Look look;
    std::string theme_note; ///< see ThemeOnFilm

    pipeline::MediaInfo const& film() const { return *opened.film.headers; }
};

/// Says on the console how many errors and warnings a quick check finds. Fails where the cue file has errors of its
/// own, where its film cannot be read, and as check_shows_chords() where that is asked for.
Result<LessonOnFilm> load(FilmOptions const& options, pipeline::Workspace& workspace, Console const& console);

/// A time as people write it ("1:02.5", or a label with frames at the footage's rate).
Result<pipeline::Time> parse_film_time(std::string const& text, pipeline::MediaInfo const& footage,
                                       std::string const& option);

/// The same where a picture is to be on screen: fails from the film's end on, and says when that is.
Result<pipeline::Time> parse_picture_time(std::string const& text, pipeline::MediaInfo const& footage,
                                          std::string const& option);

} // namespace tabard::cli
