#pragma once
#include <filesystem>

namespace tabard::pipeline {

/// Opens a file in the user's browser, by xdg-open, without waiting for it. False where there is no screen or no
/// xdg-open.
bool open_in_browser(std::filesystem::path const& file);

} // namespace tabard::pipeline
