#include "pipeline/desk/server/exchange.h"

#include <charconv>
#include <cmath>

#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

int status_of(ErrorKind kind)
{
    switch (kind) {
    case ErrorKind::invalid_input:
        return 422;
    case ErrorKind::not_found:
        return 404;
    case ErrorKind::unsupported:
    case ErrorKind::decode:
        return 422;
    case ErrorKind::io:
    case ErrorKind::interrupted:
        return 500;
    }
    return 500;
}

} // namespace

std::string Request::value(std::string const& key) const
{
    auto const found = query.find(key);
    return found == query.end() ? "" : found->second;
}

std::optional<double> Request::seconds(std::string const& key) const
{
    constexpr double kLongestFilm = 1e6;
    std::string const text = value(key);
    double number = 0;
    auto const [end, failed] = std::from_chars(text.data(), text.data() + text.size(), number);
    if (failed != std::errc{} || end != text.data() + text.size() || !std::isfinite(number) ||
        std::abs(number) > kLongestFilm)
        return std::nullopt;
    return number;
}

Answer refusal(int status, std::string_view what)
{
    std::size_t const advice = what.find("; ");
    nlohmann::json const body{{"what", what.substr(0, advice)},
                              {"fix", advice == what.npos ? std::string_view{} : what.substr(advice + 2)}};
    return {status, "application/json", body.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace), {}, {}};
}

Answer refusal(Error const& error) { return refusal(status_of(error.kind), error.what); }

} // namespace tabard::pipeline
