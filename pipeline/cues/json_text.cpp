#include "pipeline/cues/json_text.h"

#include "overlay/base/json_reader.h"
#include "pipeline/cues/reader.h"

#include <cstdlib>
#include <utility>

namespace tabard::pipeline {
namespace {

constexpr JsonLimits kCueFile{.bytes = kMostCueFileBytes,
                              .text = kLongestText,
                              .name = kLongestName,
                              .depth = kDeepestNesting,
                              .advice = "split the lesson into several cue files"};

SourcePosition position(JsonPlace at) { return {at.line, at.column}; }

/// Builds the tree with its places.
class TreeBuilder : public JsonEvents {
public:
    void key(std::string name, JsonPlace at) override { m_keys.push_back({std::move(name), {}, position(at)}); }
    void scalar(Kind kind, std::string text, JsonPlace at) override
    {
        JsonValue value = begin(kind, at);
        value.boolean = kind == Kind::boolean && text == "true";
        if (kind == Kind::string || kind == Kind::number)
            value.text = std::move(text);
        add(std::move(value));
    }
    void open(Kind kind, JsonPlace at) override { m_open.push_back(begin(kind, at)); }
    void close(JsonPlace at) override
    {
        JsonValue value = std::move(m_open.back());
        m_open.pop_back();
        value.end = position(at);
        add(std::move(value));
    }

    JsonValue root;

private:
    static JsonValue begin(Kind kind, JsonPlace at)
    {
        JsonValue value;
        value.kind = kind_of(kind);
        value.at = position(at);
        return value;
    }

    static JsonValue::Kind kind_of(Kind kind)
    {
        switch (kind) {
        case Kind::null:
            return JsonValue::Kind::null;
        case Kind::boolean:
            return JsonValue::Kind::boolean;
        case Kind::number:
            return JsonValue::Kind::number;
        case Kind::string:
            return JsonValue::Kind::string;
        case Kind::array:
            return JsonValue::Kind::array;
        case Kind::object:
            return JsonValue::Kind::object;
        }
        return JsonValue::Kind::null;
    }

    void add(JsonValue value)
    {
        if (m_open.empty()) {
            root = std::move(value);
        } else if (m_open.back().kind == JsonValue::Kind::array) {
            m_open.back().items.push_back(std::move(value));
        } else {
            m_keys.back().value = std::move(value);
            m_open.back().members.push_back(std::move(m_keys.back()));
            m_keys.pop_back();
        }
    }

    std::vector<JsonValue> m_open;
    std::vector<JsonValue::Member> m_keys;
};

std::string code_of(JsonProblem::Kind kind)
{
    switch (kind) {
    case JsonProblem::Kind::syntax:
        return "not-json";
    case JsonProblem::Kind::too_big:
        return "too-big";
    case JsonProblem::Kind::control_character:
        return "bad-value";
    }
    return "not-json";
}

/// Bytes of UTF-8 that a \uXXXX escape at `at` stands for, and the length of its text (12 for a surrogate pair).
struct Escape {
    std::size_t bytes;
    std::size_t length;
};

Escape unicode_escape(std::string_view text, std::size_t at)
{
    unsigned const code = static_cast<unsigned>(std::strtoul(std::string(text.substr(at + 2, 4)).c_str(), nullptr, 16));
    if (code >= 0xD800 && code < 0xDC00)
        return {4, 12};
    return {code < 0x80 ? 1U : code < 0x800 ? 2U : 3U, 6};
}

} // namespace

JsonReading read_json(std::string_view text)
{
    TreeBuilder builder;
    auto problem = tabard::read_json(text, kCueFile, builder);
    if (!problem)
        return {std::move(builder.root), {}};
    if (text.find_first_not_of(" \t\r\n") == std::string_view::npos)
        problem->fix = "`tabard start FILM -o lesson.json` writes a cue file to begin with";
    return {std::nullopt,
            {{Severity::error, code_of(problem->kind), position(problem->at), std::nullopt, std::move(problem->what),
              std::move(problem->fix)}}};
}

std::vector<SourcePosition> string_places(std::string_view text, std::size_t quote, SourcePosition at)
{
    std::vector<SourcePosition> places;
    std::size_t i = quote + 1;
    auto const place = [&] { return SourcePosition{at.line, at.column + static_cast<int>(i - quote)}; };
    while (i < text.size() && text[i] != '"') {
        Escape const escape = text[i] != '\\'      ? Escape{1, 1}
                              : text[i + 1] == 'u' ? unicode_escape(text, i)
                                                   : Escape{1, 2};
        places.insert(places.end(), escape.bytes, place());
        i += escape.length;
    }
    places.push_back(place());
    return places;
}

} // namespace tabard::pipeline
