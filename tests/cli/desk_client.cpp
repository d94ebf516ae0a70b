#include "tests/cli/desk_client.h"

#include "tests/support/run_program.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <csignal>
#include <fstream>
#include <optional>
#include <regex>
#include <thread>

#include <arpa/inet.h>
#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <spawn.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

extern char** environ;

namespace tabard::tests {
namespace {

using std::chrono::milliseconds;
using std::chrono::steady_clock;

/// None where it is not whole yet: `enough` says how long it will be, once that is known.
std::optional<Reply> read_reply(std::string const& bytes, bool closed, std::size_t& enough)
{
    if (bytes.size() < enough && !closed)
        return std::nullopt;
    std::size_t const end = bytes.find("\r\n\r\n");
    if (end == std::string::npos || !bytes.starts_with("HTTP/1.1 "))
        return closed ? std::optional<Reply>(Reply{}) : std::nullopt;
    Reply reply;
    reply.status = std::stoi(bytes.substr(9, 3));
    for (std::size_t at = bytes.find("\r\n") + 2; at < end + 2; at = bytes.find("\r\n", at) + 2) {
        std::string const line = bytes.substr(at, bytes.find("\r\n", at) - at);
        std::string name = line.substr(0, line.find(": "));
        std::ranges::transform(name, name.begin(), [](unsigned char c) { return std::tolower(c); });
        reply.headers[name] += line.substr(std::min(line.size(), line.find(": ") + 2));
    }
    reply.body = bytes.substr(end + 4);
    auto const length = reply.headers.find("content-length");
    if (length == reply.headers.end())
        return closed || reply.status == 204 ? std::optional(reply) : std::nullopt;
    enough = end + 4 + std::stoul(length->second);
    return bytes.size() >= enough || closed ? std::optional(reply) : std::nullopt;
}

} // namespace

Wire::Wire(int port) : m_socket(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0))
{
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(static_cast<std::uint16_t>(port));
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    if (::connect(m_socket, reinterpret_cast<sockaddr const*>(&address), sizeof address) != 0) {
        ::close(m_socket);
        m_socket = -1;
    }
}

Wire::~Wire()
{
    if (m_socket >= 0)
        ::close(m_socket);
}

bool Wire::send(std::string const& bytes) const
{
    std::size_t sent = 0;
    while (sent < bytes.size()) {
        ssize_t const more = ::send(m_socket, bytes.data() + sent, bytes.size() - sent, MSG_NOSIGNAL);
        if (more <= 0)
            return false;
        sent += static_cast<std::size_t>(more);
    }
    return true;
}

Reply Wire::reply(milliseconds most) const
{
    std::string got;
    std::size_t enough = 0;
    auto const until = steady_clock::now() + most;
    while (steady_clock::now() < until) {
        pollfd ready{m_socket, POLLIN, 0};
        std::array<char, 65'536> block{};
        if (::poll(&ready, 1, 50) <= 0)
            continue;
        ssize_t const more = ::recv(m_socket, block.data(), block.size(), 0);
        got.append(block.data(), static_cast<std::size_t>(std::max<ssize_t>(more, 0)));
        if (auto const whole = read_reply(got, more <= 0, enough))
            return *whole;
    }
    return {};
}

std::string Wire::some(milliseconds most) const
{
    std::string got;
    auto const until = steady_clock::now() + most;
    while (steady_clock::now() < until) {
        pollfd ready{m_socket, POLLIN, 0};
        std::array<char, 4096> block{};
        if (::poll(&ready, 1, 20) <= 0)
            continue;
        ssize_t const more = ::recv(m_socket, block.data(), block.size(), 0);
        if (more <= 0)
            break;
        got.append(block.data(), static_cast<std::size_t>(more));
    }
    return got;
}

RunningDesk::RunningDesk(std::filesystem::path const& folder, std::string const& lesson,
                         std::vector<std::string> const& more, std::vector<std::string> variables)
    : m_out(folder / "desk-out"), m_err(folder / "desk-err")
{
    std::vector<std::string> words{TABARD_PROGRAM, "desk", lesson, "--no-browser"};
    words.insert(words.end(), more.begin(), more.end());
    std::vector<char*> arguments;
    for (std::string& word : words)
        arguments.push_back(word.data());
    arguments.push_back(nullptr);
    variables.push_back("XDG_STATE_HOME=" + (folder / "state").string());
    std::vector<char*> environment;
    for (std::string& variable : variables)
        environment.push_back(variable.data());
    for (char** variable = environ; *variable != nullptr; ++variable)
        if (!std::string(*variable).starts_with("XDG_STATE_HOME="))
            environment.push_back(*variable);
    environment.push_back(nullptr);

    posix_spawn_file_actions_t streams;
    posix_spawn_file_actions_init(&streams);
    posix_spawn_file_actions_addopen(&streams, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_addopen(&streams, STDOUT_FILENO, m_out.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
    posix_spawn_file_actions_addopen(&streams, STDERR_FILENO, m_err.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
    posix_spawn_file_actions_addchdir_np(&streams, folder.c_str());
    posix_spawnattr_t how;
    posix_spawnattr_init(&how);
    sigset_t usual;
    sigemptyset(&usual);
    sigaddset(&usual, SIGINT); // ignored in what a shell runs in the background
    posix_spawnattr_setsigdefault(&how, &usual);
    posix_spawnattr_setflags(&how, POSIX_SPAWN_SETSIGDEF);
    posix_spawn(&m_child, TABARD_PROGRAM, &streams, &how, arguments.data(), environment.data());
    posix_spawn_file_actions_destroy(&streams);
    posix_spawnattr_destroy(&how);

    for (int i = 0; i < 1200 && m_port == 0; ++i) {
        std::string const said = out();
        std::smatch found;
        if (std::regex_search(said, found,
                              std::regex("The desk is open: http://127.0.0.1:([0-9]+)/([0-9a-f]{32})/\n"))) {
            m_port = std::stoi(found[1]);
            m_token = found[2];
        } else if (::waitpid(m_child, nullptr, WNOHANG) == m_child) {
            m_child = 0;
            return;
        }
        std::this_thread::sleep_for(milliseconds{10});
    }
}

RunningDesk::~RunningDesk()
{
    if (m_child != 0)
        end_by(SIGKILL);
}

std::string RunningDesk::out() const { return std::filesystem::exists(m_out) ? read_text(m_out) : ""; }
std::string RunningDesk::err() const { return read_text(m_err); }

std::size_t RunningDesk::kilobytes(std::string const& name) const
{
    std::ifstream status(fmt::format("/proc/{}/status", m_child));
    for (std::string line; std::getline(status, line);)
        if (line.starts_with(name + ":"))
            return std::stoul(line.substr(name.size() + 1));
    return 0;
}

Reply RunningDesk::ask(std::string const& request_line, std::string const& lines, std::string const& body) const
{
    Wire const wire(m_port);
    wire.send(request_line + " HTTP/1.1\r\n" + lines + "\r\n" + body);
    return wire.reply();
}

Reply RunningDesk::get(std::string const& path, std::string const& headers) const
{
    return ask("GET /" + m_token + "/" + path, host() + headers);
}

Reply RunningDesk::post(std::string const& path, std::string const& body) const
{
    return ask("POST /" + m_token + "/" + path,
               fmt::format("{}Tabard-Token: {}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n", host(),
                           m_token, body.size()),
               body);
}

int RunningDesk::end_by(int signal, milliseconds most)
{
    ::kill(m_child, signal);
    auto const until = steady_clock::now() + most;
    int status = 0;
    while (::waitpid(m_child, &status, WNOHANG) != m_child) {
        if (steady_clock::now() > until)
            return -1;
        std::this_thread::sleep_for(milliseconds{2});
    }
    m_child = 0;
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

} // namespace tabard::tests
