#pragma once
#include "overlay/base/result.h"
#include "pipeline/desk/server/exchange.h"

#include <cstdint>
#include <memory>
#include <stop_token>
#include <string>
#include <vector>

namespace tabard::pipeline {

class Desk;

/// Carries requests of browsers on this machine to the routes, and their answers back; and what the desk tells to every
/// page that listens (`events`). Who may ask: access.h.
class Server {
public:
    /// Listens on 127.0.0.1 at `port` (0: a free one), and on ::1 at the same one where that can be. `desk` must
    /// outlive it. Fails with io where the port is taken.
    static Result<Server> open(Routes routes, Desk& desk, int port);
    Server(Server&&) noexcept;
    ~Server();

    /// The address of the page, which holds the secret.
    std::string page() const;

    /// Answers until `stop`; then ends all connections and waits for the answers that are being made.
    void run(std::stop_token stop);

private:
    struct Impl;
    explicit Server(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
