#include "pipeline/retime/short_list.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {

std::string short_list(std::vector<std::string> const& things, std::string_view separator)
{
    std::size_t const named = std::min(things.size(), kMostNamed);
    std::string text =
        fmt::format("{}", fmt::join(things.begin(), things.begin() + static_cast<std::ptrdiff_t>(named), separator));
    if (things.size() > named)
        text += fmt::format(" and {} more", things.size() - named);
    return text;
}

} // namespace tabard::pipeline
