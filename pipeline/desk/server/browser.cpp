#include "pipeline/desk/server/browser.h"

#include <csignal>
#include <cstdlib>
#include <string>
#include <thread>

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

bool is_set(char const* name)
{
    char const* const value = std::getenv(name);
    return value != nullptr && *value != '\0';
}

/// Its own session, silent, and with signals as a program expects them.
struct Start {
    posix_spawn_file_actions_t streams{};
    posix_spawnattr_t how{};
    Start()
    {
        ::posix_spawn_file_actions_init(&streams);
        ::posix_spawn_file_actions_addopen(&streams, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
        ::posix_spawn_file_actions_addopen(&streams, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
        ::posix_spawn_file_actions_addopen(&streams, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
        ::posix_spawnattr_init(&how);
        sigset_t none;
        sigset_t usual;
        sigemptyset(&none);
        sigemptyset(&usual);
        for (int const signal : {SIGINT, SIGTERM, SIGHUP, SIGPIPE, SIGXFSZ})
            sigaddset(&usual, signal);
        ::posix_spawnattr_setsigmask(&how, &none);
        ::posix_spawnattr_setsigdefault(&how, &usual);
        ::posix_spawnattr_setflags(&how, POSIX_SPAWN_SETSID | POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF);
    }
    Start(Start const&) = delete;
    Start& operator=(Start const&) = delete;
    ~Start()
    {
        ::posix_spawn_file_actions_destroy(&streams);
        ::posix_spawnattr_destroy(&how);
    }
};

} // namespace

bool open_in_browser(std::filesystem::path const& file)
{
    if (!is_set("DISPLAY") && !is_set("WAYLAND_DISPLAY")) // it would look for one that runs in the terminal
        return false;
    Start const start;
    std::string program = "xdg-open";
    std::string path = file.native();
    char* const words[] = {program.data(), path.data(), nullptr};
    pid_t child = 0;
    if (::posix_spawnp(&child, program.c_str(), &start.streams, &start.how, words, environ) != 0)
        return false;
    std::thread([child] { ::waitpid(child, nullptr, 0); }).detach(); // it may live as long as the browser does
    return true;
}

} // namespace tabard::pipeline
