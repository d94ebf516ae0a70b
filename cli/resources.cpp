#include "cli/resources.h"

#include <cstdlib>
#include <vector>

#include <fmt/format.h>

namespace tabard::cli {

namespace fs = std::filesystem;

Result<fs::path> templates_folder()
{
    if (char const* named = std::getenv("TABARD_TEMPLATES"); named != nullptr && *named != '\0')
        return fs::path{named};
    std::error_code ignored;
    fs::path const program = fs::read_symlink("/proc/self/exe", ignored);
    std::vector<fs::path> const places{program.parent_path().parent_path() / TABARD_TEMPLATES_SUBDIR,
                                       TABARD_SOURCE_TEMPLATES};
    for (fs::path const& place : places) {
        if (fs::is_directory(place / "themes", ignored))
            return place;
    }
    return Error{ErrorKind::not_found,
                 fmt::format("cannot find Tabard's templates: neither {} nor {} is there. Install Tabard again, or set "
                             "TABARD_TEMPLATES to the folder that holds them.",
                             places[0].string(), places[1].string())};
}

} // namespace tabard::cli
