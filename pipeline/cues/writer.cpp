#include "pipeline/cues/writer.h"

#include <algorithm>
#include <optional>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// What still fits on one line with its indentation.
constexpr std::size_t kLineWidth = 110;

void append_quoted(std::string& out, std::string_view text)
{
    out += '"';
    for (char const c : text) {
        if (c == '"' || c == '\\')
            out += {'\\', c};
        else if (c == '\n')
            out += "\\n";
        else if (c == '\t')
            out += "\\t";
        else if (static_cast<unsigned char>(c) < 0x20)
            out += fmt::format("\\u{:04x}", static_cast<unsigned>(c));
        else
            out += c;
    }
    out += '"';
}

/// Appends `value` on one line, and stops soon after the line is longer than `most`.
void append_flat(std::string& out, JsonValue const& value, std::size_t most)
{
    switch (value.kind) {
    case JsonValue::Kind::null:
        out += "null";
        return;
    case JsonValue::Kind::boolean:
        out += value.boolean ? "true" : "false";
        return;
    case JsonValue::Kind::number:
        out += value.text;
        return;
    case JsonValue::Kind::string:
        append_quoted(out, value.text);
        return;
    case JsonValue::Kind::array:
        out += '[';
        for (auto const& item : value.items) {
            if (out.size() > most)
                return;
            if (&item != value.items.data())
                out += ", ";
            append_flat(out, item, most);
        }
        out += ']';
        return;
    case JsonValue::Kind::object:
        out += '{';
        for (auto const& member : value.members) {
            if (out.size() > most)
                return;
            if (&member != value.members.data())
                out += ", ";
            append_quoted(out, member.key);
            out += ": ";
            append_flat(out, member.value, most);
        }
        out += '}';
        return;
    }
}

bool is_container(JsonValue const& value)
{
    return value.kind == JsonValue::Kind::array || value.kind == JsonValue::Kind::object;
}

bool is_empty(JsonValue const& value) { return value.items.empty() && value.members.empty(); }

/// A list of objects is a table for people: one object a line.
bool holds_a_table(JsonValue const& value)
{
    bool const table = std::ranges::any_of(value.items, [](JsonValue const& item) { return !item.members.empty(); });
    return table || std::ranges::any_of(value.items, holds_a_table) ||
           std::ranges::any_of(value.members, [](auto const& member) { return holds_a_table(member.value); });
}

/// The value on one line, where it is to stand on one and fits.
std::optional<std::string> on_one_line(JsonValue const& value, std::size_t indent, std::size_t column)
{
    std::string flat;
    if (!is_container(value) || is_empty(value)) {
        append_flat(flat, value, std::string::npos);
        return flat;
    }
    if (indent == 0 || holds_a_table(value))
        return std::nullopt;
    append_flat(flat, value, kLineWidth);
    return column + flat.size() <= kLineWidth ? std::optional{flat} : std::nullopt;
}

void append(std::string& out, JsonValue const& value, std::size_t indent, std::size_t column)
{
    if (auto const flat = on_one_line(value, indent, column)) {
        out += *flat;
        return;
    }
    std::string const inner(indent + 2, ' ');
    bool const array = value.kind == JsonValue::Kind::array;
    out += array ? "[\n" : "{\n";
    for (auto const& item : value.items) {
        out += inner;
        append(out, item, indent + 2, indent + 2);
        out += &item == &value.items.back() ? "\n" : ",\n";
    }
    for (auto const& member : value.members) {
        std::size_t const line = out.size();
        out += inner;
        append_quoted(out, member.key);
        out += ": ";
        append(out, member.value, indent + 2, out.size() - line);
        out += &member == &value.members.back() ? "\n" : ",\n";
    }
    out += std::string(indent, ' ');
    out += array ? ']' : '}';
}

} // namespace

std::string value_text(JsonValue const& value, std::size_t indent, std::size_t column)
{
    std::string text;
    append(text, value, indent, column);
    return text;
}

std::string document_text(JsonValue const& document)
{
    std::string text;
    append(text, document, 0, 0);
    text += '\n';
    return text;
}

} // namespace tabard::pipeline
