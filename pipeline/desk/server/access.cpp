#include "pipeline/desk/server/access.h"

#include "overlay/base/small_letters.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <system_error>

#include <fmt/format.h>
#include <sys/random.h>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kLongestTarget = 2'000;

/// Takes as long wherever the two differ: how long a refusal took tells nothing of the token.
bool is_same_secret(std::string_view given, std::string_view secret)
{
    unsigned difference = given.size() == secret.size() ? 0 : 1;
    for (std::size_t i = 0; i < secret.size(); ++i)
        difference |=
            static_cast<unsigned char>(secret[i]) ^ static_cast<unsigned char>(i < given.size() ? given[i] : '\0');
    return difference == 0;
}

std::array<std::string, 3> own_names(int port)
{
    return {fmt::format("127.0.0.1:{}", port), fmt::format("localhost:{}", port), fmt::format("[::1]:{}", port)};
}

/// Other names that lead here are somebody else's.
bool is_own_host(std::vector<std::string> const& host, int port)
{
    auto const own = own_names(port);
    return host.size() == 1 && std::ranges::find(own, host.front()) != own.end();
}

bool is_own_origin(std::vector<std::string> const& origin, std::string const& host)
{
    return origin.empty() || (origin.size() == 1 && origin.front() == "http://" + host);
}

/// The page itself may be opened from a link or a file of the user's: it then stands alone, in no frame.
bool opens_page(Asked const& asked, std::string_view behind)
{
    return asked.method == "GET" && behind.substr(0, behind.find('?')).empty() && asked.mode == "navigate" &&
           asked.goal == "document";
}

bool is_own_site(Asked const& asked, std::string_view behind)
{
    return asked.site.empty() || asked.site == "same-origin" || asked.site == "none" || opens_page(asked, behind);
}

bool is_json(std::vector<std::string> const& content)
{
    if (content.size() != 1)
        return false;
    std::string kind = small_letters(content.front().substr(0, content.front().find(';')));
    while (kind.ends_with(' '))
        kind.pop_back();
    return kind == "application/json";
}

} // namespace

Result<Access> Access::create()
{
    std::array<unsigned char, 16> bits{};
    if (::getrandom(bits.data(), bits.size(), 0) != static_cast<ssize_t>(bits.size()))
        return Error{ErrorKind::io,
                     fmt::format("the system gives no random numbers: {}", std::generic_category().message(errno))};
    std::string token;
    for (unsigned char const byte : bits)
        token += fmt::format("{:02x}", byte);
    return Access{std::move(token)};
}

std::string Access::page(int port) const { return fmt::format("http://127.0.0.1:{}/{}/", port, m_token); }

bool Access::allows(Asked const& asked, int port) const
{
    std::string_view const target = asked.target;
    std::size_t const length = m_token.size() + 2;
    bool const shaped = target.size() >= length && target.size() <= kLongestTarget && target.front() == '/' &&
                        target[length - 1] == '/';
    if (!shaped || !is_same_secret(target.substr(1, m_token.size()), m_token) || asked.coded)
        return false;
    if (!is_own_host(asked.host, port) || !is_own_origin(asked.origin, asked.host.front()) ||
        !is_own_site(asked, target.substr(length)))
        return false;
    if (asked.method == "POST")
        return asked.token.size() == 1 && is_same_secret(asked.token.front(), m_token) && is_json(asked.content);
    return asked.method == "GET" || asked.method == "HEAD";
}

std::string_view Access::behind_token(std::string_view path) const
{
    return path.substr(std::min(path.size(), m_token.size() + 2));
}

} // namespace tabard::pipeline
