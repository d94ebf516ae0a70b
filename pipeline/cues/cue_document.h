#pragma once
#include "overlay/base/result.h"
#include "pipeline/cues/source_position.h"

#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// A JSON value with its place. Objects keep the order of their members, numbers the digits they were written with.
struct JsonValue {
    enum class Kind { null, boolean, number, string, array, object };
    struct Member;

    Kind kind = Kind::null;
    bool boolean = false;
    std::string text;             ///< a string's content, or a number as written
    std::vector<JsonValue> items; ///< of an array
    std::vector<Member> members;  ///< of an object
    SourcePosition at;            ///< its first byte
    SourcePosition end;           ///< of an array or object: its closing bracket

    static JsonValue string(std::string content);
    static JsonValue number(std::int64_t value);
    static JsonValue array(std::vector<JsonValue> items);
    static JsonValue object(std::vector<Member> members);

    JsonValue const* find(std::string_view key) const; ///< null where it is no object or has no such member
    JsonValue* find(std::string_view key);
    void set(std::string_view key, JsonValue value); ///< replaces in place, or appends; makes it an object
    /// The same, but a new member comes right after the member `before`, where there is one.
    void set_after(std::string_view before, std::string_view key, JsonValue value);
    void erase(std::string_view key);
    friend bool operator==(JsonValue const& a, JsonValue const& b); ///< places do not count
};

struct JsonValue::Member {
    std::string key;
    JsonValue value;
    SourcePosition at; ///< of the key
    friend bool operator==(Member const& a, Member const& b) { return a.key == b.key && a.value == b.value; }
};

/// A cue file as its author wrote it, to be changed and written again: order, notes and unknown keys stay.
///     TRY_ASSIGN(auto document, read_document(path));
///     document.set("capo", JsonValue::number(2));
///     document.find("sections")->items[0].set("from", JsonValue::string("0:12"));
///     TRY_VOID(write_text(document_text(document), target, Existing::keep, {path}));
Result<JsonValue> read_document(std::filesystem::path const& path);
Result<JsonValue> parse_document(std::string_view text);

} // namespace tabard::pipeline
