#pragma once
#include "overlay/drawing/theme.h"
#include "pipeline/workspace/workspace.h"

#include <filesystem>
#include <optional>
#include <stop_token>
#include <string>

namespace tabard::cli {

/// The file of a theme; none for the default. Arguments and errors as for theme_for().
Result<std::optional<std::filesystem::path>> theme_file_for(pipeline::Lesson const& lesson, std::string const& name);

/// A theme by the name of a file in templates/themes ("dark_card"), or by the path of a file of the user's own, which
/// is then an input of the command. `name` is the command line's, its paths are relative to where the user is, else to
/// the cue file; empty: the lesson's own, relative to its file; else the default. Fails with not_found, listing the
/// names there are, or as parse_theme().
Result<overlay::Theme> theme_for(pipeline::Lesson const& lesson, std::string const& name,
                                 pipeline::Workspace& workspace);

/// What is known about a film may be kept for later commands, or be looked up anew.
enum class KnownFacts { keep, look_anew };

struct ThemeOnFilm {
    overlay::Theme theme;
    std::string note; ///< what the user should know about how it was chosen; mostly empty
};

/// As theme_for(); but where nobody named a theme, the footage decides between the default and the dark card: the same
/// for all of the film and in every command. `film`: null where it cannot be read, then it is the default; likewise
/// where its pictures cannot be decoded. Fails with interrupted, too.
Result<ThemeOnFilm> theme_on_film(pipeline::Lesson const& lesson, pipeline::Timeline const& timeline,
                                  pipeline::MediaInfo const* film, std::string const& name, KnownFacts facts,
                                  pipeline::Workspace& workspace, std::stop_token stop);

} // namespace tabard::cli
