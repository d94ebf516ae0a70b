#include "cli/output_options.h"

#include <fmt/format.h>

namespace tabard::cli {

namespace fs = std::filesystem;

Result<void> check_may_write(fs::path const& file, bool force)
{
    if (file.empty() || force || !fs::exists(file))
        return {};
    return Error{ErrorKind::invalid_input,
                 fmt::format("{} is there already; name another file, or add --force to replace it", file.string())};
}

std::string name_beside(fs::path const& file, fs::path const& other)
{
    std::error_code failed;
    fs::path const folder = fs::absolute(other, failed).parent_path();
    fs::path const relative = fs::proximate(fs::absolute(file, failed), folder, failed);
    return failed ? file.string() : relative.string();
}

} // namespace tabard::cli
