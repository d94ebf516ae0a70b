#include "pipeline/workspace/lesson_folder.h"

#include "pipeline/files/file_text.h"

#include <algorithm>
#include <string_view>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kMostLessonBytes = 16 << 20;

/// Whether the text has the key of a cue file's version, with a number.
bool looks_like_cues(std::string_view text)
{
    constexpr std::string_view kKey = "\"tabard\"", kSpace = " \t\r\n";
    std::size_t const key = text.find(kKey);
    if (key == std::string_view::npos)
        return false;
    std::size_t const colon = std::min(text.find_first_not_of(kSpace, key + kKey.size()), text.size());
    std::size_t const number = text.find_first_not_of(kSpace, colon + 1);
    return text.substr(colon, 1) == ":" && number != std::string_view::npos && text[number] >= '0' &&
           text[number] <= '9';
}

} // namespace

bool is_lesson(fs::path const& file)
{
    std::error_code unknown;
    if (file.extension() != ".json" || fs::is_directory(file, unknown))
        return false;
    auto const text = read_file_text(file, kMostLessonBytes);
    return !text || looks_like_cues(*text);
}

Result<std::vector<fs::path>> lessons_in(fs::path const& folder)
{
    std::vector<fs::path> lessons;
    std::error_code failed;
    for (fs::recursive_directory_iterator at(folder, failed), end; !failed && at != end; at.increment(failed)) {
        if (is_lesson(at->path()))
            lessons.push_back(at->path());
    }
    if (failed)
        return Error{ErrorKind::not_found, fmt::format("cannot read '{}': {}", folder.string(), failed.message())};
    std::sort(lessons.begin(), lessons.end());
    return lessons;
}

} // namespace tabard::pipeline
