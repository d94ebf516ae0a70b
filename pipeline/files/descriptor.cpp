#include "pipeline/files/descriptor.h"

#include "pipeline/files/near_file.h"

#include <cerrno>
#include <system_error>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

ErrorKind kind_of_unreadable(int code)
{
    switch (code) {
    case ENOENT:
    case ENOTDIR:
        return ErrorKind::not_found;
    case EACCES:
    case EPERM:
    case ELOOP:
    case ENAMETOOLONG:
    case ENXIO: // a socket
        return ErrorKind::invalid_input;
    default:
        return ErrorKind::io;
    }
}

} // namespace

Descriptor& Descriptor::operator=(Descriptor&& other) noexcept
{
    std::swap(m_descriptor, other.m_descriptor);
    return *this;
}

Descriptor::~Descriptor()
{
    if (m_descriptor >= 0)
        ::close(m_descriptor);
}

Error io_error(std::string_view action, std::filesystem::path const& path, int code)
{
    return {ErrorKind::io,
            fmt::format("cannot {} '{}': {}", action, path.string(), std::generic_category().message(code))};
}

Result<Descriptor> open_for_reading(std::filesystem::path const& path)
{
    // O_NONBLOCK: a pipe without a writer would wait for one.
    Descriptor file(::open(path.c_str(), O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC));
    struct stat status {};
    if (!file || ::fstat(file.get(), &status) != 0) {
        int const code = errno;
        std::string const hint = code == ENOENT ? near_file_hint(path) : "";
        return Error{kind_of_unreadable(code), io_error("read", path, code).what + hint};
    }
    if (S_ISDIR(status.st_mode))
        return Error{ErrorKind::invalid_input,
                     fmt::format("cannot read '{}': it is a folder; name a file in it", path.string())};
    if (!S_ISREG(status.st_mode))
        return Error{ErrorKind::invalid_input,
                     fmt::format("cannot read '{}': it is a pipe or a device; save it as a file first", path.string())};
    return file;
}

Result<void> write_all(Descriptor const& file, std::string_view bytes, std::filesystem::path const& path)
{
    while (!bytes.empty()) {
        ssize_t const written = ::write(file.get(), bytes.data(), bytes.size());
        if (written < 0 && errno != EINTR)
            return io_error("write", path, errno);
        if (written > 0)
            bytes.remove_prefix(static_cast<std::size_t>(written));
    }
    return {};
}

} // namespace tabard::pipeline
