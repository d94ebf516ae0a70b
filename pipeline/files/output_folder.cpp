#include "pipeline/files/output_folder.h"

#include <cerrno>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

fs::path without_slash(fs::path const& target) { return target.has_filename() ? target : target.parent_path(); }

/// Nothing, or a folder that holds nothing.
Result<void> check_free(fs::path const& target)
{
    struct stat status {};
    if (::lstat(target.c_str(), &status) != 0)
        return errno == ENOENT ? Result<void>{} : io_error("write", target, errno);
    std::error_code failed;
    bool const empty = S_ISDIR(status.st_mode) && fs::is_empty(target, failed);
    if (failed)
        return io_error("write", target, failed.value());
    if (!S_ISDIR(status.st_mode))
        return Error{ErrorKind::invalid_input, fmt::format("'{}' is there and is no folder", target.string())};
    if (!empty)
        return Error{ErrorKind::invalid_input,
                     fmt::format("the folder '{}' is not empty; give a new one", target.string())};
    return {};
}

} // namespace

OutputFolder::OutputFolder(fs::path target, Temporary temporary, Inputs inputs)
    : m_target(std::move(target)), m_temporary(std::move(temporary)), m_inputs(std::move(inputs))
{
}

Result<OutputFolder> OutputFolder::create(fs::path const& target, Inputs const& inputs)
{
    fs::path const name = without_slash(target);
    TRY_VOID(check_free(name));
    remove_left_behind(name);
    TRY_ASSIGN(auto temporary, Temporary::folder(name));
    return OutputFolder(name, std::move(temporary), inputs);
}

Error OutputFolder::said_of_target(Error error) const
{
    std::string const& name = path().native();
    for (auto at = error.what.find(name); at != std::string::npos; at = error.what.find(name))
        error.what.replace(at, name.size(), m_target.native());
    return error;
}

// One call brings thousands of small files to the disk sooner than a call for each.
Result<void> OutputFolder::commit()
{
    if (::syncfs(m_temporary.descriptor().get()) != 0)
        return io_error("write", m_target, errno);
    TRY_VOID(m_inputs.unchanged());
    TRY_VOID(check_free(m_target));
    TRY_VOID(m_temporary.replace(m_target)); // which takes the place of an empty folder alone
    sync_folder(folder_of(m_target));
    return {};
}

Result<void> write_new_file(std::string_view bytes, fs::path const& path)
{
    Descriptor const file(::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666));
    if (!file)
        return io_error("write", path, errno);
    return write_all(file, bytes, path);
}

Result<void> make_folder(fs::path const& folder)
{
    std::error_code failed;
    fs::create_directories(folder, failed);
    if (!failed && !fs::is_directory(folder, failed) && !failed)
        failed = std::make_error_code(std::errc::not_a_directory);
    return failed ? Result<void>(io_error("make the folder", folder, failed.value())) : Result<void>{};
}

} // namespace tabard::pipeline
