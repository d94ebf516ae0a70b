#include "cli/theme_input.h"

#include "cli/resources.h"
#include "pipeline/files/file_text.h"

#include <algorithm>
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
    for (auto const& entry : fs::directory_iterator(folder, failed))
        if (entry.path().extension() == ".json")
            names.push_back(entry.path().stem().string());
    std::ranges::sort(names);
    return names;
}

} // namespace

Result<overlay::Theme> load_theme(std::string const& name, fs::path const& beside)
{
    if (name.empty())
        return overlay::default_theme();
    TRY_ASSIGN(fs::path const templates, templates_folder());
    for (fs::path const& file : {templates / "themes" / (name + ".json"), beside / name, fs::path{name}}) {
        if (!fs::is_regular_file(file))
            continue;
        TRY_ASSIGN(std::string const text, pipeline::read_file_text(file, kMostThemeBytes));
        auto theme = overlay::parse_theme(text);
        if (!theme)
            return Error{theme.error().kind, file.string() + ": " + theme.error().what};
        return theme;
    }
    return Error{ErrorKind::not_found, fmt::format("there is no theme \"{}\": name one of {}, or a file of your own",
                                                   name, fmt::join(theme_names(templates / "themes"), ", "))};
}

} // namespace tabard::cli
