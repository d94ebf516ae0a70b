#include "pipeline/files/pending_file.h"

#include <cerrno>
#include <charconv>
#include <csignal>
#include <cstring>
#include <utility>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

Error io_error(std::string const& action, fs::path const& path, int code)
{
    return {ErrorKind::io, fmt::format("cannot {} '{}': {}", action, path.string(), std::strerror(code))};
}

Error exists_error(fs::path const& target)
{
    return {ErrorKind::invalid_input, fmt::format("'{}' exists; --force replaces it", target.string())};
}

fs::path folder_of(fs::path const& target) { return target.has_parent_path() ? target.parent_path() : fs::path{"."}; }

std::string temporary_prefix(fs::path const& target) { return fmt::format(".{}.part-", target.stem().string()); }

// ".NAME.part-PID.EXT" of a process that is no more.
bool is_left_behind(fs::path const& path, std::string const& prefix)
{
    std::string const name = path.filename().string();
    if (!name.starts_with(prefix))
        return false;
    int pid = 0;
    char const* const digits = name.data() + prefix.size();
    auto const [end, failure] = std::from_chars(digits, name.data() + name.size(), pid);
    return failure == std::errc{} && pid > 0 && *end == '.' && ::kill(pid, 0) != 0 && errno == ESRCH;
}

void remove_left_behind(fs::path const& target)
{
    std::error_code ignored;
    std::string const prefix = temporary_prefix(target);
    for (fs::directory_entry const& entry : fs::directory_iterator(folder_of(target), ignored))
        if (is_left_behind(entry.path(), prefix))
            fs::remove(entry.path(), ignored);
}

} // namespace

PendingFile::PendingFile(fs::path target, fs::path temporary, Existing existing)
    : m_target(std::move(target)), m_temporary(std::move(temporary)), m_existing(existing)
{
}

PendingFile::PendingFile(PendingFile&& other) noexcept
    : m_target(std::move(other.m_target)),
      m_temporary(std::exchange(other.m_temporary, {})),
      m_existing(other.m_existing)
{
}

PendingFile::~PendingFile()
{
    std::error_code ignored;
    if (!m_temporary.empty())
        fs::remove(m_temporary, ignored);
}

Result<PendingFile> PendingFile::create(fs::path const& target, Existing existing, std::vector<fs::path> const& inputs)
{
    std::error_code ignored;
    for (fs::path const& input : inputs)
        if (fs::equivalent(target, input, ignored))
            return Error{ErrorKind::invalid_input,
                         fmt::format("'{}' is an input and is never written to; give another name", target.string())};
    if (fs::is_directory(target, ignored))
        return Error{ErrorKind::invalid_input, fmt::format("'{}' is a folder", target.string())};
    if (existing == Existing::keep && fs::exists(fs::symlink_status(target, ignored)))
        return exists_error(target);

    remove_left_behind(target);
    fs::path const temporary =
        folder_of(target) / fmt::format("{}{}{}", temporary_prefix(target), ::getpid(), target.extension().string());
    int const file = ::open(temporary.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
    if (file < 0)
        return io_error("write", target, errno);
    ::close(file);
    return PendingFile(target, temporary, existing);
}

Error PendingFile::said_of_target(Error error) const
{
    std::string const& name = m_temporary.native();
    if (auto const at = error.what.find(name); at != std::string::npos)
        error.what.replace(at, name.size(), m_target.native());
    return error;
}

Result<void> PendingFile::commit()
{
    int const file = ::open(m_temporary.c_str(), O_RDONLY | O_CLOEXEC);
    int const failure = file < 0 || ::fsync(file) != 0 ? errno : 0;
    if (file >= 0)
        ::close(file);
    if (failure != 0)
        return io_error("write", m_target, failure);
    if (m_existing == Existing::keep) {
        // A hard link refuses a name that exists, on every file system that has links.
        bool const linked = ::link(m_temporary.c_str(), m_target.c_str()) == 0;
        if (linked)
            return {}; // the destructor removes the other name
        if (errno == EEXIST)
            return exists_error(m_target);
    }
    if (::rename(m_temporary.c_str(), m_target.c_str()) != 0)
        return io_error("write", m_target, errno);
    m_temporary.clear();
    return {};
}

} // namespace tabard::pipeline
