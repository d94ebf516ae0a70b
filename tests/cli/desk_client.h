#pragma once
#include <chrono>
#include <cstddef>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include <sys/types.h>

namespace tabard::tests {

/// An answer to an HTTP request; status 0 where there was none.
struct Reply {
    int status = 0;
    std::map<std::string, std::string> headers; ///< names in small letters
    std::string body;
};

/// A connection to a port of this machine.
class Wire {
public:
    explicit Wire(int port);
    ~Wire();
    Wire(Wire const&) = delete;
    Wire& operator=(Wire const&) = delete;

    /// False where the other side has closed.
    bool send(std::string const& bytes) const;
    /// Until there is a whole answer, the other side closes, or the time is over.
    Reply reply(std::chrono::milliseconds most = std::chrono::seconds{20}) const;
    /// What comes within the time.
    std::string some(std::chrono::milliseconds most) const;

private:
    int m_socket;
};

/// `tabard desk` as a user runs it, with its state in `folder`/state.
class RunningDesk {
public:
    RunningDesk(std::filesystem::path const& folder, std::string const& lesson,
                std::vector<std::string> const& more = {}, std::vector<std::string> variables = {}); ///< "NAME=VALUE"
    ~RunningDesk(); ///< killed where it still runs

    bool is_open() const { return m_port != 0; }
    int port() const { return m_port; }
    std::string const& token() const { return m_token; }
    std::string out() const; ///< what it printed
    std::string err() const;
    /// What the system says of it in /proc/PID/status, in kB: "VmHWM".
    std::size_t kilobytes(std::string const& name) const;

    Reply get(std::string const& path, std::string const& headers = {}) const; ///< behind the token
    Reply post(std::string const& path, std::string const& body) const;
    /// A request as the page sends it, with `lines` in the place of all its headers.
    Reply ask(std::string const& request_line, std::string const& lines, std::string const& body = {}) const;
    std::string host() const { return "Host: 127.0.0.1:" + std::to_string(m_port) + "\r\n"; }

    /// Its exit code, 128 and the signal where one ended it; -1 where it does not end within the time.
    int end_by(int signal, std::chrono::milliseconds most = std::chrono::seconds{20});

private:
    std::filesystem::path m_out;
    std::filesystem::path m_err;
    pid_t m_child = 0;
    int m_port = 0;
    std::string m_token;
};

} // namespace tabard::tests
