#pragma once
#include <algorithm>
#include <vector>

namespace tabard::overlay {

/// Sorts and drops what is there twice. (std::ranges::unique does not compile with clang 14 on libstdc++ 12.)
template <class T>
void sort_once(std::vector<T>& values)
{
    std::sort(values.begin(), values.end());
    values.erase(std::unique(values.begin(), values.end()), values.end());
}

} // namespace tabard::overlay
