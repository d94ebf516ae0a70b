#pragma once
#include "pipeline/time/time.h"

#include <optional>
#include <string>

#include <nlohmann/json.hpp>

// How the desk writes JSON. Included by this folder's .cpp files alone.
namespace tabard::pipeline {

using Json = nlohmann::ordered_json;

/// On one line. Bytes that are no UTF-8 (in a file's name) become U+FFFD.
inline std::string json_text(Json const& json) { return json.dump(-1, ' ', false, Json::error_handler_t::replace); }

/// Seconds of film time with at most six decimals.
inline double json_seconds(Time time) { return static_cast<double>(to_ticks(time, 1, 1'000'000)) / 1e6; }
inline Json json_seconds(std::optional<Time> time) { return time ? Json(json_seconds(*time)) : Json(nullptr); }

} // namespace tabard::pipeline
