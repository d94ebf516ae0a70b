#include "cli/output_options.h"

#include <utility>

namespace tabard::cli {

namespace fs = std::filesystem;

pipeline::Existing existing(bool force) { return force ? pipeline::Existing::replace : pipeline::Existing::keep; }

Result<void> check_may_write(fs::path const& file, bool force, pipeline::Inputs const& inputs)
{
    if (!file.empty())
        TRY_VOID(pipeline::OutputFile::create(file, existing(force), inputs));
    return {};
}

std::function<Result<void>(pipeline::Inputs const&)> may_write(fs::path file, bool force)
{
    return [file = std::move(file), force](pipeline::Inputs const& inputs) {
        return check_may_write(file, force, inputs);
    };
}

std::string name_beside(fs::path const& file, fs::path const& other)
{
    std::error_code failed;
    fs::path const folder = fs::absolute(other, failed).parent_path();
    fs::path const relative = fs::proximate(fs::absolute(file, failed), folder, failed);
    return failed ? file.string() : relative.string();
}

} // namespace tabard::cli
