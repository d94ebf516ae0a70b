#pragma once
#include "overlay/base/result.h"
#include "pipeline/desk/view/json.h"

#include <cmath>
#include <optional>
#include <string>

#include <fmt/format.h>

namespace tabard::pipeline {

/// What a page sent, member by member: nothing where a member is missing or null, and invalid_input where it is of
/// another kind. Included by this folder's .cpp files alone.
class Asked {
public:
    explicit Asked(Json const& json) : m_json(json) {}

    Result<std::string> text(char const* key) const
    {
        Json const* const value = find(key);
        if (value == nullptr)
            return std::string{};
        if (!value->is_string())
            return wrong(key, "a text");
        return value->get<std::string>();
    }
    Result<bool> flag(char const* key) const
    {
        Json const* const value = find(key);
        if (value != nullptr && !value->is_boolean())
            return wrong(key, "true or false");
        return value != nullptr && value->get<bool>();
    }
    /// Of film time.
    Result<std::optional<Time>> seconds(char const* key) const
    {
        constexpr double kLongestFilm = 1e6;
        Json const* const value = find(key);
        if (value == nullptr)
            return std::optional<Time>{};
        if (!value->is_number() || std::abs(value->get<double>()) > kLongestFilm)
            return wrong(key, "a number of seconds");
        return std::optional{from_seconds(value->get<double>())};
    }
    Result<std::optional<int>> index(char const* key) const
    {
        Json const* const value = find(key);
        if (value == nullptr)
            return std::optional<int>{};
        if (!value->is_number_integer() || *value < 0 || *value > 1'000'000)
            return wrong(key, "the number of a part");
        return std::optional{value->get<int>()};
    }

private:
    Json const* find(char const* key) const
    {
        auto const found = m_json.find(key);
        return found == m_json.end() || found->is_null() ? nullptr : &*found;
    }
    static Error wrong(char const* key, char const* kind)
    {
        return {ErrorKind::invalid_input, fmt::format("{} must be {}; load the page again", key, kind)};
    }

    Json const& m_json;
};

} // namespace tabard::pipeline
