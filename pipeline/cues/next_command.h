#pragma once
#include <filesystem>
#include <string>

namespace tabard::pipeline {

/// The command that finds the times of a cue file in the sound of its film, as a shell takes it:
/// "tabard listen lesson.json -o lesson.timed.json".
std::string listen_command(std::filesystem::path const& cues);

/// Where that command writes: never to the cue file itself.
std::filesystem::path timed_name(std::filesystem::path const& cues);

} // namespace tabard::pipeline
