#include "pipeline/files/file_text.h"

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <memory>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

/// An open file descriptor, closed at the end.
class Descriptor {
public:
    explicit Descriptor(int descriptor) : m_descriptor(descriptor) {}
    Descriptor(Descriptor const&) = delete;
    Descriptor& operator=(Descriptor const&) = delete;
    ~Descriptor()
    {
        if (m_descriptor >= 0)
            ::close(m_descriptor);
    }
    int get() const { return m_descriptor; }

private:
    int m_descriptor;
};

Error system_error(std::string_view action, std::filesystem::path const& path)
{
    int const code = errno;
    return {code == ENOENT ? ErrorKind::not_found : ErrorKind::io,
            fmt::format("cannot {} {}: {}", action, path.string(), std::strerror(code))};
}

bool write_all(int descriptor, std::string_view text)
{
    while (!text.empty()) {
        ssize_t const written = ::write(descriptor, text.data(), text.size());
        if (written < 0 && errno != EINTR)
            return false;
        if (written > 0)
            text.remove_prefix(static_cast<std::size_t>(written));
    }
    return true;
}

/// The mode that a new file gets, or that of the file it replaces.
mode_t mode_for(std::filesystem::path const& path)
{
    struct stat status {};
    if (::stat(path.c_str(), &status) == 0)
        return status.st_mode & 07777;
    mode_t const mask = ::umask(0);
    ::umask(mask);
    return 0666 & ~mask;
}

} // namespace

Result<std::string> read_file_text(std::filesystem::path const& path, std::size_t most)
{
    Descriptor const file(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
    if (file.get() < 0)
        return system_error("read", path);
    std::string text;
    char block[65536];
    while (text.size() <= most) {
        ssize_t const count = ::read(file.get(), block, std::min(sizeof block, most + 1 - text.size()));
        if (count < 0 && errno == EINTR)
            continue;
        if (count < 0)
            return system_error("read", path);
        if (count == 0)
            break;
        text.append(block, static_cast<std::size_t>(count));
    }
    return text;
}

Result<void> write_file_text(std::string_view text, std::filesystem::path const& path)
{
    std::error_code ignored;
    std::filesystem::path const target =
        std::filesystem::is_symlink(path, ignored) ? std::filesystem::weakly_canonical(path, ignored) : path;
    std::string temporary = target.string() + ".XXXXXX";
    Descriptor const file(::mkostemp(temporary.data(), O_CLOEXEC));
    if (file.get() < 0)
        return Error{ErrorKind::io, fmt::format("cannot write beside {}: {}", path.string(), std::strerror(errno))};
    if (write_all(file.get(), text) && ::fchmod(file.get(), mode_for(target)) == 0 && ::fsync(file.get()) == 0 &&
        std::rename(temporary.c_str(), target.c_str()) == 0)
        return {};
    Error const error{ErrorKind::io, fmt::format("cannot write {}: {}", path.string(), std::strerror(errno))};
    ::unlink(temporary.c_str());
    return error;
}

} // namespace tabard::pipeline
