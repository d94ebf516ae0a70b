#pragma once
#include "pipeline/check/checker.h"
#include "pipeline/render/compositor.h"
#include "pipeline/render/scene_runs.h"
#include "pipeline/workspace/workspace.h"

#include <functional>
#include <memory>
#include <string>

namespace tabard::pipeline {

/// How the overlays of a lesson look on its film (which may be missing). Long work at the first time.
using LookOf = std::function<Result<Look>(OpenedLesson const&)>;

/// A version of a lesson that could be laid out on its film.
struct DrawnLesson {
    std::string digest;  ///< of the text it was made from
    OpenedLesson opened; ///< parts without a time are in it and show nothing
    Look look;
};

/// A version of the cue file with all that is known of it. Immutable, shared by threads.
struct LessonView {
    LessonFile file;                          ///< read as a finished lesson is: a part without a time is a finding
    std::string digest;                       ///< text_digest() of file.text
    CheckResult found;                        ///< of `check --quick`
    std::string broken;                       ///< why this version cannot be laid out; empty: it can
    std::shared_ptr<DrawnLesson const> drawn; ///< this version, else the last that could be; null: none could
    KnownFilm film;                           ///< of this version
    std::string undo;                         ///< what would be undone; empty: nothing
    std::string redo;                         ///< what would be done again
};

/// Says which version of the text this is. 32 hexadecimal digits.
std::string text_digest(std::string_view text);

/// Film headers that are read once for all versions, until the film changes on disk. Thread-safe.
class FilmHeaders {
public:
    Result<MediaInfo> operator()(std::filesystem::path const& film);

private:
    struct Kept;
    std::shared_ptr<Kept> m_kept;

public:
    FilmHeaders();
};

/// Reads `text` as if it stood in `path`. `before`: the version before, whose overlays stay where this one has none.
LessonView look_at(std::string text, std::filesystem::path const& path, FilmHeaders const& films, LookOf const& look_of,
                   std::shared_ptr<DrawnLesson const> before = {});

} // namespace tabard::pipeline
