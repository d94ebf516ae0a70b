#include "pipeline/machine/control_groups.h"

#include <charconv>
#include <fstream>
#include <sstream>
#include <system_error>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

// A line of /proc/self/cgroup: number, controllers (none: version 2), path.
struct Membership {
    std::string controllers;
    std::string path;

    bool has(std::string_view controller) const
    {
        std::istringstream words{controllers};
        for (std::string word; std::getline(words, word, ',');)
            if (word == controller)
                return true;
        return false;
    }
};

std::vector<Membership> memberships(fs::path const& root)
{
    std::vector<Membership> result;
    std::ifstream file(root / "proc/self/cgroup");
    for (std::string line; std::getline(file, line);) {
        auto const first = line.find(':');
        auto const second = line.find(':', first + 1);
        if (first != std::string::npos && second != std::string::npos)
            result.push_back({line.substr(first + 1, second - first - 1), line.substr(second + 1)});
    }
    return result;
}

void add_with_parents(fs::path const& mount, fs::path path, std::vector<fs::path>& folders)
{
    std::error_code unknown;
    for (path = path.relative_path();; path = path.parent_path()) {
        if (fs::path const folder = path.empty() ? mount : mount / path; fs::is_directory(folder, unknown))
            folders.push_back(folder);
        if (path.empty())
            return;
    }
}

} // namespace

std::vector<fs::path> control_groups(std::string_view controller, fs::path const& root)
{
    fs::path const mounts = root / "sys/fs/cgroup";
    std::vector<fs::path> folders;
    for (Membership const& group : memberships(root)) {
        if (group.controllers.empty()) {
            add_with_parents(mounts, group.path, folders);
            add_with_parents(mounts / "unified", group.path, folders);
        } else if (group.has(controller)) {
            add_with_parents(mounts / group.controllers, group.path, folders);
            if (group.controllers != controller)
                add_with_parents(mounts / controller, group.path, folders);
        }
    }
    return folders;
}

std::vector<std::string> first_words(fs::path const& file)
{
    std::vector<std::string> words;
    std::ifstream stream(file);
    std::string line;
    std::getline(stream, line);
    std::istringstream in{line};
    for (std::string word; in >> word;)
        words.push_back(std::move(word));
    return words;
}

std::optional<std::int64_t> kernel_number(std::string_view word)
{
    std::int64_t value = 0;
    auto const [end, failure] = std::from_chars(word.data(), word.data() + word.size(), value);
    return failure == std::errc() && end == word.data() + word.size() ? std::optional(value) : std::nullopt;
}

std::optional<std::int64_t> first_number(fs::path const& file)
{
    auto const words = first_words(file);
    return words.empty() ? std::nullopt : kernel_number(words[0]);
}

} // namespace tabard::pipeline
