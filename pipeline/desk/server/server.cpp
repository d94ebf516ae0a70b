#include "pipeline/desk/server/server.h"

#include "pipeline/desk/desk.h"
#include "pipeline/desk/server/access.h"
#include "pipeline/desk/server/byte_range.h"
#include "pipeline/desk/server/connection.h"
#include "pipeline/media/digest.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <cerrno>
#include <condition_variable>
#include <mutex>
#include <set>
#include <thread>

#include <fmt/format.h>
#include <httplib.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

using std::chrono::milliseconds;

constexpr int kThreads = 48; // a page's event stream holds one for as long as it is open
constexpr int kMostStreams = 32;
constexpr std::size_t kMostBody = std::size_t{4} << 20;
constexpr milliseconds kIdle{10'000}; // between two requests of one connection
constexpr int kMostRequests = 1000;
constexpr std::size_t kBlock = std::size_t{64} << 10;

// Everything comes from this server, nothing of the page is shown or asked for by another.
std::array<std::pair<char const*, char const*>, 6> constexpr kOnEveryAnswer{{
    {"Content-Security-Policy",
     "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; media-src 'self'; "
     "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
    {"X-Content-Type-Options", "nosniff"},
    {"Referrer-Policy", "no-referrer"},
    {"Cross-Origin-Resource-Policy", "same-origin"},
    {"Cross-Origin-Opener-Policy", "same-origin"},
    {"Cache-Control", "no-store"},
}};

std::vector<std::string> values_of(httplib::Request const& request, char const* header)
{
    std::vector<std::string> values;
    auto const [first, last] = request.headers.equal_range(header);
    std::transform(first, last, std::back_inserter(values), [](auto const& entry) { return entry.second; });
    return values;
}

Asked asked_by(httplib::Request const& request)
{
    Asked asked;
    asked.method = request.method;
    asked.target = request.target;
    asked.host = values_of(request, "Host");
    asked.origin = values_of(request, "Origin");
    asked.token = values_of(request, "Tabard-Token");
    asked.content = values_of(request, "Content-Type");
    asked.site = request.get_header_value("Sec-Fetch-Site");
    asked.mode = request.get_header_value("Sec-Fetch-Mode");
    asked.goal = request.get_header_value("Sec-Fetch-Dest");
    asked.coded = request.has_header("Transfer-Encoding") || request.has_header("Content-Encoding");
    return asked;
}

/// A connection as httplib reads and writes it.
class ConnectionStream : public httplib::Stream {
public:
    explicit ConnectionStream(Connection& connection) : m_connection(connection) {}
    bool is_readable() const override { return true; }
    bool is_writable() const override { return m_connection.is_writable(); }
    ssize_t read(char* bytes, size_t size) override { return m_connection.read(bytes, size); }
    ssize_t write(char const* bytes, size_t size) override { return m_connection.write(bytes, size); }
    void get_remote_ip_and_port(std::string& ip, int& port) const override { ip.clear(), port = 0; }
    void get_local_ip_and_port(std::string& ip, int& port) const override { ip.clear(), port = 0; }
    socket_t socket() const override { return m_connection.socket(); }

private:
    Connection& m_connection;
};

/// The connections that are open, to end them all.
class OpenSockets {
public:
    /// False where all were ended: it is to be closed at once.
    bool add(int socket)
    {
        std::scoped_lock const lock{m_mutex};
        return !m_ended && m_sockets.insert(socket).second;
    }
    void remove(int socket)
    {
        std::scoped_lock const lock{m_mutex};
        m_sockets.erase(socket);
    }
    void end_all()
    {
        std::scoped_lock const lock{m_mutex};
        m_ended = true;
        for (int const socket : m_sockets)
            ::shutdown(socket, SHUT_RDWR);
    }

private:
    std::mutex m_mutex;
    std::set<int> m_sockets;
    bool m_ended = false;
};

/// httplib's server with connections of our own: its own wait for seconds at the end, and read a line of any length.
class Listener : public httplib::Server {
public:
    Listener(OpenSockets& sockets, std::function<bool(httplib::Request const&)> allows)
        : m_sockets(sockets), m_allows(std::move(allows))
    {
        new_task_queue = [] { return new httplib::ThreadPool(kThreads); };
        set_socket_options([](socket_t socket) { // without SO_REUSEPORT: nobody shares the port
            int const on = 1;
            ::setsockopt(socket, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
        });
        set_keep_alive_timeout(std::chrono::duration_cast<std::chrono::seconds>(kIdle).count()); // as it is said
        set_keep_alive_max_count(kMostRequests);
        set_default_headers({kOnEveryAnswer.begin(), kOnEveryAnswer.end()});
    }

private:
    bool process_and_close_socket(socket_t socket) override
    {
        Connection connection(socket);
        if (!m_sockets.add(socket))
            return false;
        ConnectionStream stream(connection);
        bool goes_on = true;
        for (int left = kMostRequests; left > 0 && goes_on && connection.wait_for_request(kIdle); --left) {
            connection.begin_request();
            bool closed = false;
            // Not compressed: that takes longer than sending it on one machine. Ranges are our own business.
            auto const prepare = [&](httplib::Request& request) {
                request.headers.erase("Accept-Encoding");
                request.ranges.clear();
                connection.begin_body();
                // A body that is not read would be taken for the next request.
                closed =
                    closed || !m_allows(request) || request.get_header_value<uint64_t>("Content-Length") > kMostBody;
            };
            goes_on = process_request(stream, left == 1, closed, prepare) && !closed;
        }
        m_sockets.remove(socket);
        ::shutdown(socket, SHUT_RDWR);
        return goes_on;
    }

    OpenSockets& m_sockets;
    std::function<bool(httplib::Request const&)> m_allows;
};

bool is_header_text(std::string_view text)
{
    return std::ranges::none_of(text, [](unsigned char c) { return c < 0x20 || c == 0x7f; });
}

void set_headers(Answer const& answer, httplib::Response& response)
{
    for (auto const& [name, value] : answer.headers)
        if (is_header_text(name) && is_header_text(value)) {
            response.headers.erase(name);
            response.headers.emplace(name, value);
        }
}

std::string entity_tag(struct stat const& file)
{
    Digest digest;
    for (std::int64_t const part :
         {static_cast<std::int64_t>(file.st_ino), static_cast<std::int64_t>(file.st_size),
          static_cast<std::int64_t>(file.st_mtim.tv_sec), static_cast<std::int64_t>(file.st_mtim.tv_nsec)})
        digest.add(part);
    return fmt::format("\"{}\"", digest.hex());
}

/// Sends a stretch of an open file block by block.
httplib::ContentProvider blocks_of(std::shared_ptr<Descriptor const> const& file, std::uint64_t from)
{
    return [file, from](std::size_t offset, std::size_t length, httplib::DataSink& sink) {
        std::vector<char> block(std::min(length, kBlock));
        ssize_t const got = ::pread(file->get(), block.data(), block.size(), static_cast<off_t>(from + offset));
        return got > 0 && sink.write(block.data(), static_cast<std::size_t>(got));
    };
}

void send_file(Answer const& answer, httplib::Request const& request, httplib::Response& response)
{
    auto opened = open_for_reading(*answer.file);
    struct stat status {};
    if (!opened || ::fstat(opened->get(), &status) != 0) {
        Answer const refused = refusal(404, opened ? "the file cannot be read" : opened.error().what);
        response.status = refused.status;
        response.set_content(refused.body, refused.type);
        return;
    }
    auto const size = static_cast<std::uint64_t>(status.st_size);
    std::string const tag = entity_tag(status);
    bool const changed = request.has_header("If-Range") && request.get_header_value("If-Range") != tag;
    RangeReading const read = read_range(changed ? "" : request.get_header_value("Range"), size);
    response.set_header("Accept-Ranges", "bytes");
    response.set_header("ETag", tag);
    if (read.ranged == Ranged::beyond) {
        response.status = 416;
        response.set_header("Content-Range", fmt::format("bytes */{}", size));
        return;
    }
    auto const& [from, count] = read.range;
    response.status = answer.status;
    if (read.ranged == Ranged::part) {
        response.status = 206;
        response.set_header("Content-Range", fmt::format("bytes {}-{}/{}", from, from + count - 1, size));
    }
    if (count == 0)
        response.set_content("", answer.type);
    else
        response.set_content_provider(static_cast<std::size_t>(count), answer.type,
                                      blocks_of(std::make_shared<Descriptor>(*std::move(opened)), from));
}

void send(Answer const& answer, httplib::Request const& request, httplib::Response& response)
{
    set_headers(answer, response);
    if (answer.file)
        return send_file(answer, request, response);
    response.status = answer.status;
    if (answer.body.empty())
        response.set_header("Content-Length", "0");
    else
        response.set_content(answer.body, answer.type);
}

Request request_of(std::string_view behind, httplib::Request const& from, std::string body)
{
    Request request;
    std::size_t const slash = behind.find('/');
    request.path = behind.substr(0, slash);
    request.rest = slash == behind.npos ? "" : behind.substr(slash + 1);
    for (auto const& [key, value] : from.params)
        request.query.emplace(key, value);
    request.body = std::move(body);
    return request;
}

Answer answer_of(std::map<std::string, Handler> const& routes, Request const& request)
{
    auto const handler = routes.find(request.path);
    bool const named_more = !request.rest.empty() && request.path != "layer"; // what follows it is a layer's name
    if (handler == routes.end() || named_more)
        return refusal(404, "there is nothing of that name");
    try {
        return handler->second(request);
    } catch (std::bad_alloc const&) {
        return refusal(500, "out of memory");
    } catch (std::exception const& bug) {
        return refusal(500, fmt::format("unexpected error: {}", bug.what()));
    }
}

std::string as_event(DeskEvent const& event) { return fmt::format("event: {}\ndata: {}\n\n", event.name, event.data); }

} // namespace

struct Server::Impl {
    Routes routes;
    Desk& desk;
    Access access;
    int port = 0;
    OpenSockets sockets;
    std::atomic<bool> ended = false;
    std::atomic<int> streams = 0;
    std::unique_ptr<Listener> four;
    std::unique_ptr<Listener> six; ///< none where this machine has no ::1, or its port is taken

    Impl(Routes the_routes, Desk& the_desk, Access the_access)
        : routes(std::move(the_routes)), desk(the_desk), access(std::move(the_access))
    {
    }

    std::unique_ptr<Listener> make_listener();
    void send_events(httplib::Response& response);
    void get(httplib::Request const& request, httplib::Response& response);
    void post(httplib::Request const& request, httplib::Response& response, httplib::ContentReader const& body);
};

std::unique_ptr<Listener> Server::Impl::make_listener()
{
    using Done = httplib::Server::HandlerResponse;
    auto const allows = [this](httplib::Request const& request) { return access.allows(asked_by(request), port); };
    auto listener = std::make_unique<Listener>(sockets, allows);
    listener->set_pre_routing_handler([this, allows](httplib::Request const& request, httplib::Response& response) {
        if (!allows(request)) {
            response.status = 403;
            response.set_header("Content-Length", "0");
            return Done::Handled;
        }
        if (request.method == "POST")
            return Done::Unhandled;
        get(request, response);
        return Done::Handled;
    });
    listener->Post(R"([\s\S]*)", [this](httplib::Request const& request, httplib::Response& response,
                                        httplib::ContentReader const& body) { post(request, response, body); });
    return listener;
}

void Server::Impl::get(httplib::Request const& request, httplib::Response& response)
{
    Request const asked = request_of(access.behind_token(request.path), request, {});
    if (asked.path == "events" && request.method == "GET")
        return send_events(response);
    send(answer_of(routes.get, asked), request, response);
}

void Server::Impl::post(httplib::Request const& request, httplib::Response& response,
                        httplib::ContentReader const& body)
{
    std::string text;
    bool const whole = request.get_header_value<std::uint64_t>("Content-Length") <= kMostBody &&
                       body([&text](char const* bytes, std::size_t size) {
                           text.append(bytes, size);
                           return text.size() <= kMostBody;
                       });
    if (!whole)
        return send(refusal(413, "that is more than the desk takes at once"), request, response);
    send(answer_of(routes.post, request_of(access.behind_token(request.path), request, std::move(text))), request,
         response);
}

/// A line for each thing that is told; an empty one now and then, by which a page that has gone is noticed.
void Server::Impl::send_events(httplib::Response& response)
{
    if (++streams > kMostStreams) {
        --streams;
        response.status = 503;
        return response.set_content(refusal(503, "too many pages are open; close one").body, "application/json");
    }
    auto seen = std::make_shared<std::uint64_t>(0);
    desk.events_after(*seen); // from now on
    response.set_chunked_content_provider(
        "text/event-stream",
        [this, seen](std::size_t offset, httplib::DataSink& sink) {
            std::string text = offset == 0 ? "retry: 1000\n\n" : "";
            if (offset != 0) {
                for (DeskEvent const& event : desk.events_after(*seen))
                    text += event.name.empty() ? "" : as_event(event);
                text += text.empty() ? ":\n\n" : "";
            }
            return !ended && sink.write(text.data(), text.size());
        },
        [this](bool) { --streams; });
}

Result<Server> Server::open(Routes routes, Desk& desk, int port)
{
    TRY_ASSIGN(Access access, Access::create());
    auto impl = std::make_unique<Impl>(std::move(routes), desk, std::move(access));
    impl->four = impl->make_listener();
    int const bound = port != 0 ? (impl->four->bind_to_port("127.0.0.1", port) ? port : -1)
                                : impl->four->bind_to_any_port("127.0.0.1");
    if (bound < 0)
        return Error{ErrorKind::io, port != 0 ? fmt::format("port {} is taken; give another, or none", port)
                                              : std::string{"this machine gives no port to listen on"}};
    impl->port = bound;
    impl->six = impl->make_listener();
    if (!impl->six->bind_to_port("::1", bound))
        impl->six.reset();
    return Server{std::move(impl)};
}

Server::Server(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
Server::Server(Server&&) noexcept = default;
Server::~Server() = default;

std::string Server::page() const { return m_impl->access.page(m_impl->port); }

void Server::run(std::stop_token stop)
{
    std::vector<std::jthread> listening;
    for (Listener* const listener : {m_impl->four.get(), m_impl->six.get()})
        if (listener != nullptr)
            listening.emplace_back([listener] { listener->listen_after_bind(); });
    std::mutex mutex;
    std::condition_variable_any stopped;
    std::unique_lock lock{mutex};
    stopped.wait(lock, stop, [] { return false; });
    m_impl->ended = true;
    for (Listener* const listener : {m_impl->four.get(), m_impl->six.get()})
        while (listener != nullptr && !listener->is_running())
            std::this_thread::sleep_for(milliseconds{1}); // stop() is not heard before
    for (Listener* const listener : {m_impl->four.get(), m_impl->six.get()})
        if (listener != nullptr)
            listener->stop();
    m_impl->sockets.end_all();
    m_impl->desk.tell({});
}

} // namespace tabard::pipeline
