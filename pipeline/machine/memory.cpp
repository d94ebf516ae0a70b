#include "pipeline/machine/memory.h"

#include "pipeline/machine/control_groups.h"

#include <algorithm>
#include <fstream>
#include <string>
#include <string_view>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

// The number after `name` in a file of names and numbers.
std::optional<std::int64_t> number_after(std::string_view name, fs::path const& file)
{
    std::ifstream stream(file);
    std::string word;
    std::int64_t number = 0;
    while (stream >> word)
        if (word == name && stream >> number)
            return number;
    return std::nullopt;
}

std::optional<std::int64_t> left_by(std::optional<std::int64_t> limit, std::optional<std::int64_t> used,
                                    std::optional<std::int64_t> of_files)
{
    if (!limit || !used)
        return std::nullopt;
    return std::max<std::int64_t>(0, *limit - std::max<std::int64_t>(0, *used - of_files.value_or(0)));
}

std::optional<std::int64_t> left_by(fs::path const& group)
{
    if (auto const left = left_by(first_number(group / "memory.max"), first_number(group / "memory.current"),
                                  number_after("inactive_file", group / "memory.stat")))
        return left;
    return left_by(first_number(group / "memory.limit_in_bytes"), first_number(group / "memory.usage_in_bytes"),
                   number_after("total_inactive_file", group / "memory.stat"));
}

} // namespace

std::optional<std::int64_t> available_memory(fs::path const& root)
{
    auto most = number_after("MemAvailable:", root / "proc/meminfo");
    if (most)
        *most *= 1024;
    for (fs::path const& group : control_groups("memory", root))
        if (auto const left = left_by(group))
            most = std::min(most.value_or(*left), *left);
    return most;
}

} // namespace tabard::pipeline
