#include "cli/output_options.h"

namespace tabard::cli {

namespace fs = std::filesystem;

pipeline::Existing existing(bool force) { return force ? pipeline::Existing::replace : pipeline::Existing::keep; }

Result<void> check_may_write(fs::path const& file, bool force, pipeline::Inputs const& inputs)
{
    if (!file.empty())
        TRY_VOID(pipeline::OutputFile::create(file, existing(force), inputs));
    return {};
}

std::string name_beside(fs::path const& file, fs::path const& other)
{
    std::error_code failed;
    fs::path const folder = fs::absolute(other, failed).parent_path();
    fs::path const relative = fs::proximate(fs::absolute(file, failed), folder, failed);
    return failed ? file.string() : relative.string();
}

} // namespace tabard::cli
