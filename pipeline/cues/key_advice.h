#pragma once
#include <optional>
#include <span>
#include <string_view>

namespace tabard::pipeline {

/// The key of `known` that authors mean by `written`: another writing of it ("Count-In"), or another word for it
/// ("start" for "from", "bpm" for "tempo"). None where no such word is known; near spellings are not looked at.
std::optional<std::string_view> meant_key(std::string_view written, std::span<std::string_view const> known);

/// Where a key of cue files belongs, for one that stands elsewhere: "into a part"; empty for others.
std::string_view place_of_key(std::string_view key);

} // namespace tabard::pipeline
