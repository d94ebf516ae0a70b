#include "pipeline/files/near_file.h"

#include "overlay/base/nearest_word.h"

#include <algorithm>
#include <string_view>
#include <system_error>
#include <vector>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

/// Hidden files are nobody's lessons. Of a folder with more files a part is enough.
std::vector<std::string> names_in(fs::path const& folder)
{
    constexpr std::size_t kMost = 5000;
    std::vector<std::string> names;
    std::error_code failed;
    for (fs::directory_iterator file(folder, failed), end; !failed && file != end && names.size() < kMost;
         file.increment(failed))
        if (std::string name = file->path().filename().string(); !name.starts_with('.'))
            names.push_back(std::move(name));
    std::ranges::sort(names);
    return names;
}

} // namespace

std::string near_file_hint(fs::path const& missing)
{
    fs::path const folder = missing.has_parent_path() ? missing.parent_path() : fs::path(".");
    std::error_code failed;
    if (!fs::is_directory(folder, failed))
        return fmt::format("; there is no folder '{}'", folder.string());
    auto const names = names_in(folder);
    std::vector<std::string_view> const candidates(names.begin(), names.end());
    auto const near = nearest_word(missing.filename().string(), candidates);
    if (!near)
        return "";
    fs::path const meant = missing.has_parent_path() ? missing.parent_path() / *near : fs::path(*near);
    return fmt::format("; did you mean '{}'?", meant.string());
}

} // namespace tabard::pipeline
