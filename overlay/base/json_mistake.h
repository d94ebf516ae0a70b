#pragma once
#include <cstddef>
#include <span>
#include <string>
#include <string_view>

namespace tabard {

/// Where a reader of JSON (RFC 8259) came to a stop: all before `end` was sound.
struct JsonStop {
    enum class After { nothing, opening, key, value };
    struct Bracket {
        bool list = false;  ///< else an object
        std::size_t at = 0; ///< offset of the bracket that opens it
    };
    std::string_view text;
    After after = After::nothing;  ///< what the last token was
    std::size_t last = 0;          ///< offset of that token
    std::size_t end = 0;           ///< one past it
    std::span<Bracket const> open; ///< the outermost first
};

/// A mistake in words for its author.
struct JsonMistake {
    std::size_t at = 0; ///< offset of what is to be changed
    std::string what;
    std::string fix;
};

/// What the author most likely did. Something is said for every text, sound or not.
JsonMistake json_mistake(JsonStop const& stop);

/// The sign at an offset in quotes; by its number where it cannot be shown.
std::string sign_in_words(std::string_view text, std::size_t offset);

/// How a file is named in JSON; said where a backslash is taken for something else.
inline constexpr std::string_view kBackslashAdvice = R"(in the name of a file write / or \\ for each \)";

} // namespace tabard
