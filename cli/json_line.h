#pragma once
#include <string>

#include <nlohmann/json.hpp>

namespace tabard::cli {

/// `json` on one line. A path need not be UTF-8, and JSON must: other bytes become U+FFFD.
inline std::string json_line(nlohmann::ordered_json const& json)
{
    return json.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

} // namespace tabard::cli
