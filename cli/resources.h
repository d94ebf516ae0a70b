#pragma once
#include "overlay/base/result.h"

#include <filesystem>

namespace tabard::cli {

/// The folder with themes, schema and starter cue files: $TABARD_TEMPLATES, else share/tabard/templates beside the
/// program's own prefix, else the source tree it was built from. Fails with not_found and the places it looked in.
Result<std::filesystem::path> templates_folder();

} // namespace tabard::cli
