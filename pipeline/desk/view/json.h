#pragma once
#include "pipeline/cues/cue_document.h"
#include "pipeline/desk/file/document_set.h"
#include "pipeline/desk/server/exchange.h"
#include "pipeline/time/time.h"

#include <optional>
#include <string>

#include <nlohmann/json.hpp>

// How the desk writes JSON. Included by this folder's .cpp files alone.
namespace tabard::pipeline {

using Json = nlohmann::ordered_json;

/// On one line. Bytes that are no UTF-8 (in a file's name) become U+FFFD.
inline std::string json_text(Json const& json) { return json.dump(-1, ' ', false, Json::error_handler_t::replace); }

inline Answer json_answer(Json const& json, int status = 200)
{
    return {status, "application/json", json_text(json), {}, {}};
}

/// Seconds of film time with at most six decimals.
inline double json_seconds(Time time) { return static_cast<double>(to_ticks(time, 1, 1'000'000)) / 1e6; }
inline Json json_seconds(std::optional<Time> time) { return time ? Json(json_seconds(*time)) : Json(nullptr); }

/// A value of a cue file.
inline Json json_of(JsonValue const& value)
{
    using Kind = JsonValue::Kind;
    if (value.kind == Kind::string)
        return value.text;
    if (value.kind == Kind::number)
        return Json::parse(value.text, nullptr, false);
    Json json = value.kind == Kind::object ? Json::object() : value.kind == Kind::array ? Json::array() : Json(nullptr);
    if (value.kind == Kind::boolean)
        json = value.boolean;
    for (JsonValue const& item : value.items)
        json.push_back(json_of(item));
    for (JsonValue::Member const& member : value.members)
        json[member.key] = json_of(member.value);
    return json;
}

/// As POST edit takes them.
inline Json json_of(std::vector<DocumentSet> const& edits)
{
    Json json = Json::array();
    for (DocumentSet const& edit : edits) {
        Json path = Json::array();
        for (auto const& step : edit.path)
            std::visit([&path](auto const& key) { path.push_back(key); }, step);
        json.push_back({{"path", std::move(path)}, {"value", json_of(edit.value)}});
    }
    return json;
}

} // namespace tabard::pipeline
