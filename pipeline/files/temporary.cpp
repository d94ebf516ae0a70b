#include "pipeline/files/temporary.h"

#include "overlay/base/letters.h"
#include "pipeline/files/file_text.h"

#include <cerrno>
#include <chrono>
#include <functional>
#include <string>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/random.h>
#include <sys/stat.h>
#include <sys/utsname.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kWord = 16;
constexpr std::size_t kLongestName = 255; // NAME_MAX of Linux
constexpr auto kDay = std::chrono::hours(24);
constexpr int kTries = 16;

/// This machine since it was started, as sixteen digits: containers share it, and locks hold between them.
std::string const& kernel_word()
{
    static std::string const word = [] {
        auto boot = read_file_text("/proc/sys/kernel/random/boot_id", 64); // a random UUID
        if (boot)
            std::erase(*boot, '-');
        if (boot && boot->size() > kWord)
            return boot->substr(0, kWord);
        utsname system{};
        ::uname(&system);
        return fmt::format("{:016x}", std::uint64_t{std::hash<std::string_view>{}(system.nodename)});
    }();
    return word;
}

std::string random_word()
{
    std::uint64_t bits = 0;
    if (::getrandom(&bits, sizeof bits, 0) != sizeof bits) // an old kernel: unlike other names at least
        bits = static_cast<std::uint64_t>(std::chrono::steady_clock::now().time_since_epoch().count());
    return fmt::format("{:016x}", bits);
}

// A target's name may be as long as a name can be: the temporary one then has less of it.
std::string prefix_of(fs::path const& target)
{
    std::size_t const rest = std::string_view("..part--").size() + 2 * kWord + target.extension().native().size();
    std::string const stem = target.stem().string();
    return fmt::format(".{}.part-", first_letters(stem, kLongestName - std::min(kLongestName, rest)));
}

bool is_word(std::string_view text)
{
    return text.size() == kWord && text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
}

/// The KERNEL of a temporary name that begins with `prefix`; empty where it is none.
std::string_view kernel_in(std::string_view name, std::string_view prefix)
{
    std::size_t const words = 2 * kWord + 1;
    if (!name.starts_with(prefix) || name.size() < prefix.size() + words)
        return {};
    std::string_view const rest = name.substr(prefix.size());
    bool const named = is_word(rest.substr(0, kWord)) && rest[kWord] == '-' && is_word(rest.substr(kWord + 1, kWord)) &&
                       (rest.size() == words || rest[words] == '.');
    return named ? rest.substr(0, kWord) : std::string_view{};
}

std::string_view prefix_in(std::string_view name)
{
    constexpr std::string_view kMark = ".part-";
    std::size_t const at = name.rfind(kMark);
    return name.starts_with('.') && at != std::string_view::npos ? name.substr(0, at + kMark.size())
                                                                 : std::string_view{};
}

bool is_a_day_old(fs::path const& path)
{
    std::error_code failed;
    auto const written = fs::last_write_time(path, failed);
    return !failed && fs::file_time_type::clock::now() - written > kDay;
}

void remove_if_left_behind(fs::path const& path, std::string_view kernel)
{
    if (kernel != kernel_word() && !is_a_day_old(path))
        return;
    Descriptor const entry(::open(path.c_str(), O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC));
    std::error_code ignored;
    if (entry && ::flock(entry.get(), LOCK_EX | LOCK_NB) == 0)
        fs::remove_all(path, ignored);
}

/// False where a sweep of another writer came between making and locking it.
bool lock(Descriptor const& entry)
{
    struct stat status {};
    bool const taken = ::flock(entry.get(), LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK;
    return !taken && ::fstat(entry.get(), &status) == 0 && status.st_nlink > 0;
}

Error cannot_write(fs::path const& target, int code)
{
    if (code == ENOENT)
        return {ErrorKind::io,
                fmt::format("cannot write '{}': there is no folder '{}'", target.string(), folder_of(target).string())};
    return io_error("write", target, code);
}

/// `make` gives a descriptor of what it made under a name, or none and errno.
Result<std::pair<fs::path, Descriptor>> make_entry(fs::path const& target,
                                                   std::function<Descriptor(fs::path const&)> const& make)
{
    for (int i = 0; i < kTries; ++i) {
        fs::path path = folder_of(target) / fmt::format("{}{}-{}{}", prefix_of(target), kernel_word(), random_word(),
                                                        target.extension().string());
        Descriptor entry = make(path);
        if (entry && lock(entry))
            return std::pair{std::move(path), std::move(entry)};
        if (!entry && errno != EEXIST)
            return cannot_write(target, errno);
    }
    return io_error("write", target, EEXIST);
}

/// renameat2() can refuse to replace on most file systems, link() does on most others; where neither is there, the name
/// is taken by an empty file first.
int rename_without_replacing(fs::path const& from, fs::path const& to)
{
    if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0)
        return 0;
    if (errno != EINVAL && errno != ENOSYS)
        return errno;
    if (::link(from.c_str(), to.c_str()) == 0)
        return ::unlink(from.c_str()) == 0 ? 0 : errno;
    if (errno == EEXIST)
        return errno;
    Descriptor const reserved(::open(to.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0600));
    if (!reserved)
        return errno;
    int const code = ::rename(from.c_str(), to.c_str()) == 0 ? 0 : errno;
    if (code != 0)
        ::unlink(to.c_str());
    return code;
}

} // namespace

// A folder that cannot be read, or a file system without it: as good as it gets.
void sync_folder(fs::path const& folder)
{
    if (Descriptor const opened(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)); opened)
        ::fsync(opened.get());
}

fs::path folder_of(fs::path const& target) { return target.has_parent_path() ? target.parent_path() : fs::path{"."}; }

Error exists_error(fs::path const& target)
{
    return {ErrorKind::invalid_input, fmt::format("'{}' exists; --force replaces it", target.string())};
}

void remove_left_behind(fs::path const& target)
{
    std::error_code failed;
    std::string const prefix = prefix_of(target);
    for (fs::directory_iterator at(folder_of(target), failed), end; !failed && at != end; at.increment(failed)) {
        std::string const name = at->path().filename().string();
        if (auto const kernel = kernel_in(name, prefix); !kernel.empty())
            remove_if_left_behind(at->path(), kernel);
    }
}

void remove_all_left_behind(fs::path const& folder)
{
    std::error_code failed;
    for (fs::directory_iterator at(folder, failed), end; !failed && at != end; at.increment(failed)) {
        std::string const name = at->path().filename().string();
        if (auto const kernel = kernel_in(name, prefix_in(name)); !kernel.empty())
            remove_if_left_behind(at->path(), kernel);
    }
}

Temporary::Temporary(fs::path path, Descriptor descriptor)
    : m_path(std::move(path)), m_descriptor(std::move(descriptor))
{
}

Temporary::Temporary(Temporary&& other) noexcept
    : m_path(std::exchange(other.m_path, {})), m_descriptor(std::move(other.m_descriptor))
{
}

// Unlocked only when it is gone: nobody takes it for left behind.
Temporary::~Temporary()
{
    std::error_code ignored;
    if (!m_path.empty())
        fs::remove_all(m_path, ignored);
}

Result<Temporary> Temporary::file(fs::path const& target, Readers readers)
{
    mode_t const mode = readers == Readers::writer_only ? 0600 : 0666;
    TRY_ASSIGN(auto made, make_entry(target, [mode](fs::path const& path) {
                   return Descriptor(::open(path.c_str(), O_RDWR | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, mode));
               }));
    return Temporary(std::move(made.first), std::move(made.second));
}

Result<Temporary> Temporary::folder(fs::path const& target)
{
    TRY_ASSIGN(auto made, make_entry(target, [](fs::path const& path) {
                   if (::mkdir(path.c_str(), 0777) != 0)
                       return Descriptor();
                   return Descriptor(::open(path.c_str(), O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC));
               }));
    return Temporary(std::move(made.first), std::move(made.second));
}

Result<void> Temporary::replace(fs::path const& target)
{
    if (::rename(m_path.c_str(), target.c_str()) != 0)
        return cannot_write(target, errno);
    m_path.clear();
    return {};
}

Result<void> Temporary::appear_as(fs::path const& target)
{
    int const code = rename_without_replacing(m_path, target);
    if (code == EEXIST)
        return exists_error(target);
    if (code != 0)
        return cannot_write(target, code);
    m_path.clear();
    return {};
}

} // namespace tabard::pipeline
