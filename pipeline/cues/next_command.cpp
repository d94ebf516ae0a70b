#include "pipeline/cues/next_command.h"

#include "pipeline/files/shell_word.h"

#include <fmt/format.h>

namespace tabard::pipeline {

std::filesystem::path timed_name(std::filesystem::path const& cues)
{
    std::string stem = cues.stem().string();
    stem += stem.ends_with(".timed") ? "-2" : ".timed";
    return cues.parent_path() / (stem + ".json");
}

std::string listen_command(std::filesystem::path const& cues)
{
    return fmt::format("tabard listen {} -o {}", shell_word(cues.string()), shell_word(timed_name(cues).string()));
}

} // namespace tabard::pipeline
