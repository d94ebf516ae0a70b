#include "cli/theme_input.h"

#include "cli/resources.h"
#include "cli/values.h"
#include "pipeline/files/file_text.h"
#include "pipeline/render/group_cache.h"
#include "pipeline/render/theme_choice.h"
#include "pipeline/timeline/placement.h"

#include <algorithm>
#include <array>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::cli {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kMostThemeBytes = 1 << 20;
constexpr char const* kDarkTheme = "dark_card.json";

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
Result<fs::path> find_theme(std::string const& name, fs::path const& templates, std::array<fs::path, 2> const& folders)
{
    std::error_code failed;
    for (fs::path const& file : {templates / "themes" / (name + ".json"), folders[0] / name, folders[1] / name})
        if (fs::is_regular_file(file, failed))
            return file;
    return Error{ErrorKind::not_found, fmt::format("there is no theme \"{}\"; name one of {}, or a file of your own",
                                                   name, fmt::join(theme_names(templates / "themes"), ", "))};
}

Result<overlay::Theme> read_theme(fs::path const& file, pipeline::Workspace& workspace)
{
    workspace.add_input(file);
    TRY_ASSIGN(std::string const text, pipeline::read_file_text(file, kMostThemeBytes));
    auto theme = overlay::parse_theme(text);
    if (!theme)
        return Error{theme.error().kind, file.string() + ": " + theme.error().what};
    return theme;
}

} // namespace

Result<std::optional<fs::path>> theme_file_for(pipeline::Lesson const& lesson, std::string const& name)
{
    std::string const& wanted = name.empty() ? *lesson.theme : name;
    if (wanted.empty())
        return std::optional<fs::path>{};
    fs::path const beside = lesson.file.parent_path();
    TRY_ASSIGN(fs::path const templates, templates_folder());
    auto file =
        find_theme(wanted, templates, name.empty() ? std::array{beside, fs::path{}} : std::array{fs::path{}, beside});
    if (!file && !name.empty() && file.error().kind == ErrorKind::not_found)
        refuse_command_line("--theme: " + file.error().what);
    if (!file)
        return file.error();
    return std::optional(*std::move(file));
}

Result<overlay::Theme> theme_for(pipeline::Lesson const& lesson, std::string const& name,
                                 pipeline::Workspace& workspace)
{
    TRY_ASSIGN(auto const file, theme_file_for(lesson, name));
    if (!file)
        return overlay::default_theme();
    return read_theme(*file, workspace);
}

Result<ThemeOnFilm> theme_on_film(pipeline::Lesson const& lesson, pipeline::Timeline const& timeline,
                                  pipeline::MediaInfo const* film, std::string const& name, KnownFacts facts,
                                  pipeline::Workspace& workspace, std::stop_token stop)
{
    TRY_ASSIGN(auto theme, theme_for(lesson, name, workspace));
    if (!film || !name.empty() || !lesson.theme->empty())
        return ThemeOnFilm{std::move(theme), ""};
    auto const light = pipeline::footage_light(
        *film, facts == KnownFacts::keep ? pipeline::GroupCache::default_folder() : std::nullopt, std::move(stop));
    if (!light && light.error().kind == ErrorKind::interrupted)
        return light.error();
    if (!light)
        return ThemeOnFilm{std::move(theme), ""};
    TRY_ASSIGN(fs::path const templates, templates_folder()); // of the program alone: nobody named a file
    TRY_ASSIGN(auto dark, read_theme(templates / "themes" / kDarkTheme, workspace));
    auto const areas = pipeline::card_areas(timeline, pipeline::stage_of(lesson), film->video->displayed);
    if (!pipeline::stands_out_better(dark.card, theme.card, areas, *light))
        return ThemeOnFilm{std::move(theme), ""};
    return ThemeOnFilm{
        std::move(dark),
        "Cards are dark: the picture is bright where they stand (\"theme\" or --theme chooses another)."};
}

} // namespace tabard::cli
