#include "pipeline/desk/runs/lesson_files.h"

#include "overlay/base/small_letters.h"
#include "pipeline/desk/runs/output_name.h"
#include "pipeline/workspace/lesson_folder.h"

#include <algorithm>
#include <span>
#include <string_view>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kFilms[] = {".mp4", ".m4v", ".mov", ".mkv", ".webm", ".avi",
                                       ".mts", ".ts",  ".mpg", ".3gp", ".mxf"};
constexpr std::string_view kLessons[] = {".json"};
constexpr std::string_view kCuts[] = {".edl", ".otio", ".csv"};

bool ends_as(std::string const& name, std::span<std::string_view const> endings)
{
    return check_plain_name(name, endings).has_value();
}

} // namespace

Result<LessonFiles> lesson_files(fs::path const& folder)
{
    LessonFiles files;
    std::error_code failed;
    for (fs::directory_iterator entry(folder, failed), end; !failed && entry != end; entry.increment(failed)) {
        std::string const name = entry->path().filename().string();
        std::error_code unknown;
        if (!entry->is_regular_file(unknown))
            continue;
        if (ends_as(name, kLessons) && is_lesson(entry->path()))
            files.lessons.push_back(name);
        else if (ends_as(name, kFilms))
            files.films.push_back(name);
        else if (ends_as(name, kCuts))
            files.cuts.push_back(name);
    }
    if (failed)
        return Error{ErrorKind::not_found, fmt::format("cannot read the folder: {}", failed.message())};
    for (auto* const names : {&files.lessons, &files.films, &files.cuts})
        std::ranges::sort(*names);
    return files;
}

} // namespace tabard::pipeline
