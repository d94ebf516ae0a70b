#include "pipeline/desk/file/file_state.h"

#include <sys/stat.h>

namespace tabard::pipeline {

FileState file_state(std::filesystem::path const& file)
{
    struct stat found {};
    if (::stat(file.c_str(), &found) != 0)
        return {};
    return {found.st_dev, found.st_ino, found.st_size, found.st_mtim.tv_sec, found.st_mtim.tv_nsec};
}

} // namespace tabard::pipeline
