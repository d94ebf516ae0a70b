#pragma once
#include <string>

#include <nlohmann/json_fwd.hpp>

namespace tabard::pipeline {

/// "Clip" of "Clip.2", of old names the new one; empty where an object does not say.
std::string schema_of(nlohmann::ordered_json const& object);
/// A member that is a text, else nothing.
std::string text_of(nlohmann::ordered_json const& object, char const* key);
/// A member that is there and not null, else null.
nlohmann::ordered_json const* member(nlohmann::ordered_json const& object, char const* key);

} // namespace tabard::pipeline
