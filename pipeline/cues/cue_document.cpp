#include "pipeline/cues/cue_document.h"

#include "pipeline/cues/json_text.h"
#include "pipeline/cues/reader.h"
#include "pipeline/files/file_text.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {

JsonValue JsonValue::string(std::string content)
{
    JsonValue value;
    value.kind = Kind::string;
    value.text = std::move(content);
    return value;
}

JsonValue JsonValue::number(std::int64_t number)
{
    JsonValue value;
    value.kind = Kind::number;
    value.text = fmt::format("{}", number);
    return value;
}

JsonValue JsonValue::array(std::vector<JsonValue> items)
{
    JsonValue value;
    value.kind = Kind::array;
    value.items = std::move(items);
    return value;
}

JsonValue JsonValue::object(std::vector<Member> members)
{
    JsonValue value;
    value.kind = Kind::object;
    value.members = std::move(members);
    return value;
}

JsonValue const* JsonValue::find(std::string_view key) const
{
    auto const found = std::ranges::find(members, key, &Member::key);
    return found == members.end() ? nullptr : &found->value;
}

JsonValue* JsonValue::find(std::string_view key)
{
    return const_cast<JsonValue*>(static_cast<JsonValue const*>(this)->find(key));
}

void JsonValue::set(std::string_view key, JsonValue value)
{
    kind = Kind::object;
    if (JsonValue* existing = find(key))
        *existing = std::move(value);
    else
        members.push_back({std::string(key), std::move(value), {}});
}

void JsonValue::set_after(std::string_view before, std::string_view key, JsonValue value)
{
    auto const place = std::ranges::find(members, before, &Member::key);
    if (find(key) || place == members.end())
        return set(key, std::move(value));
    members.insert(place + 1, {std::string(key), std::move(value), {}});
}

void JsonValue::erase(std::string_view key)
{
    std::erase_if(members, [&](Member const& member) { return member.key == key; });
}

bool operator==(JsonValue const& a, JsonValue const& b)
{
    return a.kind == b.kind && a.boolean == b.boolean && a.text == b.text && a.items == b.items &&
           a.members == b.members;
}

Result<JsonValue> parse_document(std::string_view text)
{
    JsonReading reading = read_json(text);
    if (reading.value)
        return std::move(*reading.value);
    Finding const& finding = reading.findings.front();
    return Error{ErrorKind::invalid_input, fmt::format("line {}, column {}: {}; {}", finding.at.line, finding.at.column,
                                                       finding.what, finding.fix)};
}

Result<JsonValue> read_document(std::filesystem::path const& path)
{
    TRY_ASSIGN(std::string const text, read_file_text(path, kMostCueFileBytes));
    Result<JsonValue> document = parse_document(text);
    if (!document)
        return Error{document.error().kind, fmt::format("{}: {}", path.string(), document.error().what)};
    return document;
}

} // namespace tabard::pipeline
