#include "pipeline/desk/runs/child_process.h"

#include "pipeline/files/descriptor.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <charconv>
#include <chrono>
#include <csignal>
#include <cstring>
#include <optional>

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

extern char** environ;

namespace tabard::pipeline {
namespace {

using Clock = std::chrono::steady_clock;

constexpr std::size_t kMostOutput = std::size_t{64} << 20;
constexpr std::size_t kMostError = std::size_t{64} << 10;
constexpr int kProgress = 3;
constexpr auto kPatience = std::chrono::seconds{5};      ///< of who cancels
constexpr auto kHaste = std::chrono::milliseconds{1000}; ///< where the server ends

struct Pipe {
    Descriptor read;
    Descriptor write;
};

Result<Pipe> make_pipe()
{
    std::array<int, 2> ends{};
    if (::pipe2(ends.data(), O_CLOEXEC) != 0)
        return Error{ErrorKind::io, fmt::format("cannot begin a command: {}", std::strerror(errno))};
    ::fcntl(ends[0], F_SETFL, O_NONBLOCK);
    return Pipe{Descriptor{ends[0]}, Descriptor{ends[1]}};
}

/// What the child is begun with, made before it is: between fork and exec nothing may ask for memory.
struct Start {
    std::vector<std::string> words;
    std::vector<std::string> environment;
    std::vector<char*> argv;
    std::vector<char*> envp;
    std::string program;
    std::string folder;
};

std::vector<char*> pointers(std::vector<std::string>& texts)
{
    std::vector<char*> result;
    for (std::string& text : texts)
        result.push_back(text.data());
    result.push_back(nullptr);
    return result;
}

void prepare(Start& start)
{
    for (char** variable = environ; variable != nullptr && *variable != nullptr; ++variable)
        if (!std::string_view{*variable}.starts_with("TABARD_PROGRESS="))
            start.environment.emplace_back(*variable);
    start.environment.push_back(fmt::format("TABARD_PROGRESS={}", kProgress));
    start.argv = pointers(start.words);
    start.envp = pointers(start.environment);
}

/// In the child: becomes the program, or ends with 127. Calls nothing that is not async-signal-safe (signal-safety(7)).
[[noreturn]] void become(Start const& start, int in, int out, int err, int progress, pid_t parent)
{
    // The lowest numbers first, and none of those that are still to be moved has one of them: pipes of a process whose
    // standard streams are open begin at 3.
    int const moved = ::fcntl(progress, F_DUPFD, 10);
    bool ready = moved >= 0 && ::dup2(in, STDIN_FILENO) >= 0 && ::dup2(out, STDOUT_FILENO) >= 0 &&
                 ::dup2(err, STDERR_FILENO) >= 0 && ::dup2(moved, kProgress) >= 0;
    ::close_range(kProgress + 1, ~0U, 0);
    // Ctrl-C in the server's terminal is the server's to hand on.
    ready = ready && ::setpgid(0, 0) == 0 && ::prctl(PR_SET_PDEATHSIG, SIGTERM) == 0;
    sigset_t none;
    sigemptyset(&none);
    for (int const signal : {SIGINT, SIGTERM, SIGHUP, SIGPIPE})
        ::signal(signal, SIG_DFL);
    ::sigprocmask(SIG_SETMASK, &none, nullptr);
    if (ready && ::getppid() == parent && ::chdir(start.folder.c_str()) == 0)
        ::execve(start.program.c_str(), start.argv.data(), start.envp.data());
    ::_exit(127);
}

/// Bytes as lines, each handed on once it is whole.
class Lines {
public:
    template <class Told>
    void add(std::string_view bytes, Told const& told)
    {
        constexpr std::size_t kLongest = 4096;
        for (char const byte : bytes) {
            if (byte != '\n' && byte != '\r')
                if (m_line.size() < kLongest)
                    m_line += byte;
            if (byte != '\n')
                continue;
            told(m_line);
            m_line.clear();
        }
    }

private:
    std::string m_line;
};

void tell_progress_line(std::string_view line, ChildWatch const& watch)
{
    double share = 0;
    auto const [end, failed] = std::from_chars(line.data(), line.data() + line.size(), share);
    std::size_t const blank = line.find(' ');
    if (failed == std::errc{} && share >= 0 && share <= 1 && watch.progress)
        watch.progress(share, blank == line.npos ? "" : line.substr(blank + 1));
}

/// The child as its parent sees it.
class Child {
public:
    Child(pid_t pid, Descriptor out, Descriptor err, Descriptor progress, ChildWatch const& watch)
        : m_pid(pid), m_streams{std::move(out), std::move(err), std::move(progress)}, m_watch(watch)
    {
    }

    ChildEnd wait()
    {
        while (!m_status) {
            read_some(100);
            end_where_asked();
            int status = 0;
            if (::waitpid(m_pid, &status, WNOHANG) == m_pid)
                m_status = status;
        }
        while (read_some(0)) { // what it wrote last
        }
        m_end.signal = WIFSIGNALED(*m_status) ? WTERMSIG(*m_status) : 0;
        m_end.exit = m_end.signal != 0 ? 128 + m_end.signal : WEXITSTATUS(*m_status);
        return std::move(m_end);
    }

private:
    /// True where something was read.
    bool read_some(int milliseconds)
    {
        std::array<pollfd, 3> asked{};
        for (std::size_t n = 0; n < asked.size(); ++n)
            asked[n] = {m_streams[n].get(), POLLIN, 0}; // a negative one is passed over
        ::poll(asked.data(), asked.size(), milliseconds);
        bool any = false;
        for (std::size_t n = 0; n < asked.size(); ++n)
            if (asked[n].revents != 0)
                any = read_from(n) || any;
        return any;
    }

    bool read_from(std::size_t stream)
    {
        std::array<char, 65536> bytes;
        ssize_t const count = ::read(m_streams[stream].get(), bytes.data(), bytes.size());
        if (count <= 0) {
            if (count == 0 || (errno != EAGAIN && errno != EINTR))
                m_streams[stream] = Descriptor{};
            return false;
        }
        take(stream, {bytes.data(), static_cast<std::size_t>(count)});
        return true;
    }

    void take(std::size_t stream, std::string_view bytes)
    {
        if (stream == 0) {
            m_end.too_long = m_end.too_long || m_end.out.size() + bytes.size() > kMostOutput;
            if (!m_end.too_long)
                m_end.out += bytes;
        } else if (stream == 1) {
            m_end.err += bytes;
            if (m_end.err.size() > kMostError)
                m_end.err.erase(0, m_end.err.size() - kMostError);
            m_said.add(bytes, [this](std::string_view line) { m_watch.said ? m_watch.said(line) : void(); });
        } else {
            m_told.add(bytes, [this](std::string_view line) { tell_progress_line(line, m_watch); });
        }
    }

    void end_where_asked()
    {
        Ending const asked = m_watch.ending ? m_watch.ending->load() : Ending::none;
        auto const now = Clock::now();
        if (asked > m_asked) {
            m_asked = asked;
            ::kill(m_pid, asked == Ending::asked ? SIGINT : SIGTERM);
            m_killed_at = now + (asked == Ending::asked ? Clock::duration{kPatience} : Clock::duration{kHaste});
        }
        if (m_asked != Ending::none && now >= m_killed_at)
            ::kill(m_pid, SIGKILL);
    }

    pid_t m_pid;
    std::array<Descriptor, 3> m_streams;
    ChildWatch const& m_watch;
    Lines m_said;
    Lines m_told;
    Ending m_asked = Ending::none;
    Clock::time_point m_killed_at{};
    std::optional<int> m_status;
    ChildEnd m_end;
};

} // namespace

Result<ChildEnd> run_child(std::filesystem::path const& program, std::vector<std::string> const& arguments,
                           std::filesystem::path const& folder, ChildWatch const& watch)
{
    Start start{{"tabard"}, {}, {}, {}, program.string(), folder.empty() ? "." : folder.string()};
    start.words.insert(start.words.end(), arguments.begin(), arguments.end());
    prepare(start);
    TRY_ASSIGN(Pipe out, make_pipe());
    TRY_ASSIGN(Pipe err, make_pipe());
    TRY_ASSIGN(Pipe progress, make_pipe());
    Descriptor const nothing{::open("/dev/null", O_RDONLY | O_CLOEXEC)};
    pid_t const parent = ::getpid();
    pid_t const child = ::fork();
    if (child == 0)
        become(start, nothing.get(), out.write.get(), err.write.get(), progress.write.get(), parent);
    if (child < 0)
        return Error{ErrorKind::io, fmt::format("cannot begin a command: {}", std::strerror(errno))};
    for (Pipe* const pipe : {&out, &err, &progress})
        pipe->write = Descriptor{};
    return Child{child, std::move(out.read), std::move(err.read), std::move(progress.read), watch}.wait();
}

} // namespace tabard::pipeline
