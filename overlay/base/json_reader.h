#pragma once
#include "overlay/base/result.h"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include <nlohmann/json_fwd.hpp>

// The one reader of JSON (RFC 8259): strict, bounded, and with words for what is wrong and how to fix it.
namespace tabard {

/// Both count from 1, columns in bytes.
struct JsonPlace {
    int line = 1;
    int column = 1;
    friend bool operator==(JsonPlace, JsonPlace) = default;
};

struct JsonProblem {
    enum class Kind { syntax, too_big, control_character };
    Kind kind = Kind::syntax;
    JsonPlace at;
    std::string what; ///< one sentence: what is wrong
    std::string fix;  ///< one sentence: what to do about it
};

struct JsonLimits {
    std::size_t bytes = std::size_t{64} << 20;
    std::size_t text = 100'000; ///< bytes of a string
    std::size_t name = 2'000;   ///< bytes of a key, or digits of a number
    std::size_t depth = 200;
    std::size_t values = 2'000'000;
    /// Control characters in strings, written as escapes; else only line ends and tabs. They can command a terminal.
    bool control_characters = false;
    std::string_view advice = "split it into several files"; ///< for what is too big
};

/// Is told what a text holds, in order. A key comes before its value.
class JsonEvents {
public:
    enum class Kind { null, boolean, number, string, array, object };
    JsonEvents() = default;
    JsonEvents(JsonEvents const&) = delete;
    JsonEvents& operator=(JsonEvents const&) = delete;
    virtual ~JsonEvents() = default;
    virtual void key(std::string name, JsonPlace at) = 0;
    /// `text`: a string's content, a number as written, "true" or "false".
    virtual void scalar(Kind kind, std::string text, JsonPlace at) = 0;
    virtual void open(Kind kind, JsonPlace at) = 0;
    virtual void close(JsonPlace at) = 0; ///< of the last that was opened
};

/// The first problem; none where all was told. A byte order mark is passed over.
std::optional<JsonProblem> read_json(std::string_view text, JsonLimits const& limits, JsonEvents& events);

/// The text as a value. Fails with invalid_input, "line 3, column 5: what is wrong; how to fix it", also where an
/// object has two members of one name.
Result<nlohmann::ordered_json> parse_json(std::string_view text, JsonLimits const& limits = {});

} // namespace tabard
