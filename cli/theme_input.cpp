#include "cli/theme_input.h"

#include "cli/resources.h"
#include "pipeline/files/file_text.h"

#include <algorithm>
#include <array>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::cli {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kMostThemeBytes = 1 << 20;

std::vector<std::string> theme_names(fs::path const& folder)
{
    std::vector<std::string> names;
    std::error_code failed;
    for (fs::directory_iterator at(folder, failed), end; !failed && at != end; at.increment(failed))
        if (at->path().extension() == ".json")
            names.push_back(at->path().stem().string());
    std::ranges::sort(names);
    return names;
}

/// The first of `folders` that has the theme, after those of the program.
Result<fs::path> find_theme(std::string const& name, std::array<fs::path, 2> const& folders)
{
    TRY_ASSIGN(fs::path const templates, templates_folder());
    std::error_code failed;
    for (fs::path const& file : {templates / "themes" / (name + ".json"), folders[0] / name, folders[1] / name})
        if (fs::is_regular_file(file, failed))
            return file;
    return Error{ErrorKind::not_found, fmt::format("there is no theme \"{}\": name one of {}, or a file of your own",
                                                   name, fmt::join(theme_names(templates / "themes"), ", "))};
}

} // namespace

Result<std::optional<fs::path>> theme_file_for(pipeline::Lesson const& lesson, std::string const& name)
{
    std::string const& wanted = name.empty() ? *lesson.theme : name;
    if (wanted.empty())
        return std::optional<fs::path>{};
    fs::path const beside = lesson.file.parent_path();
    TRY_ASSIGN(fs::path file,
               find_theme(wanted, name.empty() ? std::array{beside, fs::path{}} : std::array{fs::path{}, beside}));
    return std::optional(std::move(file));
}

Result<overlay::Theme> theme_for(pipeline::Lesson const& lesson, std::string const& name,
                                 pipeline::Workspace& workspace)
{
    TRY_ASSIGN(auto const file, theme_file_for(lesson, name));
    if (!file)
        return overlay::default_theme();
    workspace.add_input(*file);
    TRY_ASSIGN(std::string const text, pipeline::read_file_text(*file, kMostThemeBytes));
    auto theme = overlay::parse_theme(text);
    if (!theme)
        return Error{theme.error().kind, file->string() + ": " + theme.error().what};
    return theme;
}

} // namespace tabard::cli
