#include "pipeline/workspace/job_list.h"

#include "pipeline/files/shell_word.h"

#include <algorithm>
#include <string_view>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

Result<void> check_names(fs::path const& program, std::vector<FilmToMake> const& films)
{
    std::vector<fs::path> paths{program};
    for (FilmToMake const& job : films) {
        paths.push_back(job.lesson);
        paths.push_back(job.film);
        paths.insert(paths.end(), job.inputs.begin(), job.inputs.end());
    }
    for (fs::path const& path : paths)
        if (path.native().find_first_of("\n\r") != std::string::npos)
            return Error{ErrorKind::invalid_input,
                         fmt::format("'{}' has a line break in its name: give it another name", path.string())};
    return {};
}

std::string with_dollars(std::string const& text, std::string_view special)
{
    std::string escaped;
    for (char const c : text) {
        if (special.find(c) != std::string_view::npos)
            escaped += '$';
        escaped += c;
    }
    return escaped;
}

std::string render_words(fs::path const& program, FilmToMake const& job)
{
    return fmt::format("{} render {} --force -o {}", quoted_word(program.string()), quoted_word(job.lesson.string()),
                       quoted_word(job.film.string()));
}

constexpr std::string_view kSlurmHead = R"sh(#!/bin/sh
# Hands the films below to Slurm: for each an array of jobs that fill the cache, and one job after them that makes the
# film. Made by tabard jobs. What follows its name goes to sbatch:  sh THIS_FILE --partition=lessons
set -eu
: "${TABARD_CACHE:?set it to a folder that all machines see}"
export TABARD_CACHE
)sh";

// A share may fail (a film that has to be encoded whole has none): the film is made all the same, or says why not.
constexpr std::string_view kSlurmTail = R"sh(case ${1-} in
share)
    name_film "$2"
    exec "$tabard" render "$lesson" --share "$SLURM_ARRAY_TASK_ID/$shares"
    ;;
film)
    name_film "$2"
    mkdir -p -- "$(dirname -- "$film")"
    exec "$tabard" render "$lesson" --force -o "$film"
    ;;
esac
number=0
while [ "$number" -lt "$films" ]; do
    array=$(sbatch --parsable --requeue --job-name=tabard-share --array="1-$shares" "$@" "$0" share "$number")
    sbatch --requeue --job-name=tabard-film --dependency="afterany:${array%%;*}" "$@" "$0" film "$number"
    number=$((number + 1))
done
)sh";

} // namespace

bool is_stale(FilmToMake const& job)
{
    std::error_code unknown;
    auto const made = fs::last_write_time(job.film, unknown);
    return unknown || std::any_of(job.inputs.begin(), job.inputs.end(), [&](fs::path const& input) {
               auto const written = fs::last_write_time(input, unknown);
               return unknown || written >= made;
           });
}

Result<std::string> ninja_file(fs::path const& program, std::vector<FilmToMake> const& films)
{
    TRY_VOID(check_names(program, films));
    std::string text = "# Made by tabard jobs. Run: ninja -f THIS_FILE\n"
                       "pool films\n  depth = 1\n"
                       "rule render\n  command = $words\n  description = $out\n  pool = films\n";
    for (FilmToMake const& job : films) {
        text += fmt::format("\nbuild {}: render", ninja_path(job.film.string()));
        for (fs::path const& input : job.inputs)
            text += " " + ninja_path(input.string());
        text += fmt::format("\n  words = {}\n", with_dollars(render_words(program, job), "$"));
    }
    return text;
}

Result<std::string> slurm_script(fs::path const& program, std::vector<FilmToMake> const& films, int shares)
{
    TRY_VOID(check_names(program, films));
    std::string text(kSlurmHead);
    text += fmt::format("tabard={}\nshares={}\nfilms={}\nname_film() {{\n    case $1 in\n",
                        quoted_word(program.string()), shares, films.size());
    for (std::size_t i = 0; i < films.size(); ++i)
        text += fmt::format("    {}) lesson={} film={} ;;\n", i, quoted_word(films[i].lesson.string()),
                            quoted_word(films[i].film.string()));
    return text + "    *) echo \"there is no film $1\" >&2; exit 1 ;;\n    esac\n}\n" + std::string(kSlurmTail);
}

std::string ninja_path(std::string const& path) { return with_dollars(path, "$: "); }

} // namespace tabard::pipeline
