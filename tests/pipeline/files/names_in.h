#pragma once
#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

namespace tabard::tests {

/// All that a folder holds, sorted.
inline std::vector<std::string> names_in(std::filesystem::path const& folder)
{
    std::vector<std::string> names;
    for (auto const& entry : std::filesystem::directory_iterator(folder))
        names.push_back(entry.path().filename().string());
    std::ranges::sort(names);
    return names;
}

} // namespace tabard::tests
