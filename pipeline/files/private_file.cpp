#include "pipeline/files/private_file.h"

#include "pipeline/files/output_folder.h"
#include "pipeline/files/temporary.h"

#include <cerrno>

#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

namespace tabard::pipeline {

Result<void> make_private_folder(std::filesystem::path const& folder)
{
    if (folder.has_parent_path())
        TRY_VOID(make_folder(folder.parent_path()));
    if (::mkdir(folder.c_str(), 0700) != 0 && errno != EEXIST)
        return io_error("make the folder", folder, errno);
    struct stat found {};
    if (::lstat(folder.c_str(), &found) != 0)
        return io_error("read the folder", folder, errno);
    if (!S_ISDIR(found.st_mode) || found.st_uid != ::geteuid())
        return Error{ErrorKind::io, fmt::format("'{}' is no folder of yours; move it away", folder.string())};
    if ((found.st_mode & 0777) != 0700 && ::chmod(folder.c_str(), 0700) != 0)
        return io_error("change the mode of the folder", folder, errno);
    return {};
}

Result<void> write_private_file(std::string_view bytes, std::filesystem::path const& path)
{
    remove_left_behind(path);
    TRY_ASSIGN(auto file, Temporary::file(path, Temporary::Readers::writer_only));
    TRY_VOID(write_all(file.descriptor(), bytes, path));
    if (::fsync(file.descriptor().get()) != 0)
        return io_error("write", path, errno);
    TRY_VOID(file.replace(path));
    sync_folder(folder_of(path));
    return {};
}

} // namespace tabard::pipeline
