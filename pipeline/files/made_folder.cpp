#include "pipeline/files/made_folder.h"

#include "pipeline/files/output_folder.h"

#include <utility>

#include <unistd.h>

namespace tabard::pipeline {

namespace fs = std::filesystem;

MadeFolder::MadeFolder(std::vector<fs::path> made) : m_made(std::move(made)) {}

MadeFolder::MadeFolder(MadeFolder&& other) noexcept : m_made(std::exchange(other.m_made, {})) {}

MadeFolder& MadeFolder::operator=(MadeFolder&& other) noexcept
{
    std::swap(m_made, other.m_made);
    return *this;
}

MadeFolder::~MadeFolder()
{
    for (fs::path const& folder : m_made)
        if (::rmdir(folder.c_str()) != 0) // one that holds something stays
            return;
}

Result<MadeFolder> MadeFolder::create(fs::path const& folder)
{
    std::vector<fs::path> missing;
    std::error_code ignored;
    fs::path at = folder.has_filename() ? folder : folder.parent_path();
    for (; !at.empty() && !fs::exists(fs::symlink_status(at, ignored)); at = at.parent_path())
        missing.push_back(at);
    MadeFolder made{std::move(missing)};
    TRY_VOID(make_folder(folder));
    return made;
}

} // namespace tabard::pipeline
