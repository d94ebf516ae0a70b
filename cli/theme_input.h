#pragma once
#include "overlay/drawing/theme.h"
#include "pipeline/workspace/workspace.h"

#include <filesystem>
#include <optional>
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

} // namespace tabard::cli
