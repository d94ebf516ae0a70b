#include "tests/cli/pseudo_terminal.h"

#include <cerrno>
#include <chrono>
#include <optional>
#include <stdexcept>
#include <thread>

#include <fcntl.h>
#include <pty.h>
#include <sys/wait.h>
#include <unistd.h>

namespace tabard::tests {
namespace {

int exit_of(int status) { return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status); }

std::vector<char*> arguments_of(std::vector<std::string> const& words)
{
    std::vector<char*> arguments;
    for (std::string const& word : words)
        arguments.push_back(const_cast<char*>(word.c_str()));
    arguments.push_back(nullptr);
    return arguments;
}

struct OnTerminal {
    pid_t child = -1;
    int terminal = -1;
};

OnTerminal start_on_terminal(std::vector<std::string> const& words)
{
    auto const arguments = arguments_of(words);
    OnTerminal started;
    started.child = forkpty(&started.terminal, nullptr, nullptr, nullptr);
    if (started.child < 0)
        throw std::runtime_error("cannot make a pseudo-terminal");
    if (started.child == 0) {
        execvp(arguments[0], arguments.data());
        _exit(127);
    }
    return started;
}

/// What comes next; none once the other side is closed.
std::optional<std::string> sent(int terminal)
{
    char block[4096];
    ssize_t count = 0;
    do
        count = read(terminal, block, sizeof block);
    while (count < 0 && errno == EINTR);
    return count > 0 ? std::optional{std::string(block, static_cast<std::size_t>(count))} : std::nullopt;
}

int wait_for(pid_t child)
{
    int status = 0;
    waitpid(child, &status, 0);
    return exit_of(status);
}

} // namespace

ProgramRun run_on_terminal(std::vector<std::string> const& words)
{
    auto const [child, terminal] = start_on_terminal(words);
    ProgramRun run;
    while (auto const text = sent(terminal))
        run.out += *text;
    close(terminal);
    run.exit = wait_for(child);
    return run;
}

ProgramRun run_on_vanishing_terminal(std::vector<std::string> const& words)
{
    auto const [child, terminal] = start_on_terminal(words);
    (void)sent(terminal);
    close(terminal);
    return {wait_for(child), "", ""};
}

ProgramRun run_and_disturb(std::vector<std::string> const& words, std::function<bool(pid_t)> const& meanwhile)
{
    TemporaryFolder const folder;
    std::string const out = folder / "out";
    std::string const err = folder / "err";
    auto const arguments = arguments_of(words);
    pid_t const child = fork();
    if (child == 0) {
        int const outputs[] = {open(out.c_str(), O_WRONLY | O_CREAT, 0600),
                               open(err.c_str(), O_WRONLY | O_CREAT, 0600)};
        dup2(outputs[0], STDOUT_FILENO);
        dup2(outputs[1], STDERR_FILENO);
        execvp(arguments[0], arguments.data());
        _exit(127);
    }
    int status = 0;
    bool ended = false;
    while (!ended && !meanwhile(child)) {
        ended = waitpid(child, &status, WNOHANG) == child;
        std::this_thread::sleep_for(std::chrono::milliseconds{2});
    }
    if (!ended)
        waitpid(child, &status, 0);
    return {exit_of(status), read_text(out), read_text(err)};
}

} // namespace tabard::tests
