// A library to preload (LD_PRELOAD) into the program: it ends the process, as a power cut would, at the N-th call that
// touches a file, or pauses it there (TABARD_KILL_WITH, the number of a signal). TABARD_KILL_AT="fsync:1", "rename:1"
// (rename, renameat2 and link are counted together) or "write:3" (to an ordinary file). The call itself is not made.
// TABARD_NO_LINKS: a file system without hard links and without renames that replace nothing.
#include <atomic>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <cstring>

#include <dlfcn.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <unistd.h>

namespace {

/// Whether this is the call to end at.
void count(char const* name)
{
    static char const* const asked = std::getenv("TABARD_KILL_AT");
    static std::atomic<int> calls{0};
    std::size_t const length = std::strlen(name);
    if (asked && std::strncmp(asked, name, length) == 0 && asked[length] == ':' &&
        ++calls == std::atoi(asked + length + 1)) {
        char const* const signal = std::getenv("TABARD_KILL_WITH");
        ::kill(::getpid(), signal ? std::atoi(signal) : SIGKILL);
    }
}

bool is_plain(int file)
{
    struct stat status {};
    return ::fstat(file, &status) == 0 && S_ISREG(status.st_mode) && status.st_nlink > 0;
}

template <class Function>
Function next(char const* name)
{
    return reinterpret_cast<Function>(::dlsym(RTLD_NEXT, name));
}

bool has_links() { return std::getenv("TABARD_NO_LINKS") == nullptr; }

} // namespace

extern "C" {

int fsync(int file)
{
    count("fsync");
    return next<int (*)(int)>("fsync")(file);
}

int syncfs(int file)
{
    count("fsync");
    return next<int (*)(int)>("syncfs")(file);
}

ssize_t write(int file, void const* bytes, size_t size)
{
    if (is_plain(file))
        count("write");
    return next<ssize_t (*)(int, void const*, size_t)>("write")(file, bytes, size);
}

int rename(char const* from, char const* to)
{
    count("rename");
    return next<int (*)(char const*, char const*)>("rename")(from, to);
}

int renameat2(int from_folder, char const* from, int to_folder, char const* to, unsigned flags)
{
    count("rename");
    if (!has_links() && flags != 0) {
        errno = EINVAL;
        return -1;
    }
    return next<int (*)(int, char const*, int, char const*, unsigned)>("renameat2")(from_folder, from, to_folder, to,
                                                                                    flags);
}

int link(char const* from, char const* to)
{
    count("rename");
    if (!has_links()) {
        errno = EPERM;
        return -1;
    }
    return next<int (*)(char const*, char const*)>("link")(from, to);
}

} // extern "C"
