#pragma once
#include "pipeline/retime/cut_file.h"

#include <filesystem>
#include <optional>
#include <string>

namespace CLI {
class App;
}

namespace tabard::cli {

/// How the film was cut again, as a command line says it.
struct CutArguments {
    std::filesystem::path cut;      ///< the cut list, or the new film itself; empty: not cut
    std::filesystem::path old_film; ///< the film before the cut, for comparing sounds; empty: the footage
    std::string reel;
    std::string rate;
    std::string source_start;
    std::string record_start;
    bool lenient = false;
};

/// Adds the options of a cut. `name` is that of the list itself: "--by" or "--through".
void add_cut_options(CLI::App& command, std::string const& name, std::string const& help, CutArguments& arguments);

/// Whether the cut is given as the new film: it is then found by comparing the sound.
bool names_film(CutArguments const& arguments);

/// What is known of the film before the cut.
struct OldFilm {
    std::filesystem::path path;
    std::optional<pipeline::FrameRate> rate;
    std::optional<pipeline::Time> length;
    std::string first_label; ///< timecode of its first picture; empty where it says none
};

/// Reads the cut list, with what the arguments and the film say about it; or compares the sound of the two films.
Result<pipeline::CutReading> read_cut(CutArguments const& arguments, OldFilm const& film);

} // namespace tabard::cli
