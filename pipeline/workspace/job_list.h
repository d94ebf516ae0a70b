#pragma once
#include "overlay/base/result.h"

#include <filesystem>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// A film that is to be made of a lesson. All paths are absolute.
struct FilmToMake {
    std::filesystem::path lesson;
    std::filesystem::path film;
    std::vector<std::filesystem::path> inputs; ///< all that it is made of, the lesson and the program too
};

/// By times of last writing, as make does: there is no film, or one that is not newer than each of its inputs.
bool is_stale(FilmToMake const& job);

/// The films as a build file for Ninja: one after another, since each keeps all cores busy. Errors: invalid_input for a
/// path with a line break, which cannot stand in it.
Result<std::string> ninja_file(std::filesystem::path const& program, std::vector<FilmToMake> const& films);

/// The films as a shell script that hands them to Slurm: for each an array of `shares` jobs that fill the cache, and a
/// job after them that makes the film. Its arguments go to sbatch. Errors: as ninja_file().
Result<std::string> slurm_script(std::filesystem::path const& program, std::vector<FilmToMake> const& films,
                                 int shares);

/// `path` in a build line of Ninja: a dollar before dollars, colons and spaces.
std::string ninja_path(std::string const& path);

} // namespace tabard::pipeline
