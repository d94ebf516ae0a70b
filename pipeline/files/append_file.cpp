#include "pipeline/files/append_file.h"

#include "pipeline/files/temporary.h"

#include <cerrno>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

namespace tabard::pipeline {

AppendFile::AppendFile(std::filesystem::path path, Descriptor file, std::int64_t size)
    : m_path(std::move(path)), m_file(std::move(file)), m_size(size)
{
}

Result<AppendFile> AppendFile::open(std::filesystem::path const& path)
{
    // O_NONBLOCK: a pipe in its place is refused and not waited for.
    Descriptor file(::open(path.c_str(), O_WRONLY | O_CREAT | O_APPEND | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC, 0600));
    struct stat status {};
    if (!file || ::fstat(file.get(), &status) != 0)
        return io_error("write", path, errno);
    if (!S_ISREG(status.st_mode))
        return Error{ErrorKind::io, fmt::format("cannot write '{}': it is no ordinary file", path.string())};
    sync_folder(folder_of(path));
    return AppendFile(path, std::move(file), status.st_size);
}

Result<void> AppendFile::append_unhurried(std::string_view bytes)
{
    if (auto written = write_all(m_file, bytes, m_path); !written) {
        static_cast<void>(cut_to(m_size)); // what a full disk took of it
        return written;
    }
    m_size += static_cast<std::int64_t>(bytes.size());
    return {};
}

Result<void> AppendFile::append(std::string_view bytes)
{
    std::int64_t const before = m_size;
    TRY_VOID(append_unhurried(bytes));
    if (::fdatasync(m_file.get()) == 0)
        return {};
    Error const failed = io_error("write", m_path, errno);
    static_cast<void>(cut_to(before));
    return failed;
}

Result<void> AppendFile::cut_to(std::int64_t size)
{
    if (::ftruncate(m_file.get(), size) != 0 || ::fdatasync(m_file.get()) != 0)
        return io_error("write", m_path, errno);
    m_size = size;
    return {};
}

} // namespace tabard::pipeline
