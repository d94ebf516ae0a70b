#pragma once
#include "overlay/drawing/theme.h"

#include <filesystem>
#include <string>

namespace tabard::cli {

/// A theme by the name of a file in templates/themes ("dark_card"), or by the path of a file of the user's own; the
/// default for an empty name. `beside`: where a relative path is looked for first. Fails with not_found, listing the
/// names there are, or as parse_theme().
Result<overlay::Theme> load_theme(std::string const& name, std::filesystem::path const& beside = {});

} // namespace tabard::cli
