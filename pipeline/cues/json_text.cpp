#include "pipeline/cues/json_text.h"

#include "pipeline/cues/reader.h"

#include <algorithm>
#include <cstring>
#include <iterator>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
constexpr std::size_t kMostValues = 2'000'000;

/// Feeds the parser and tells how far it has come.
class CountingIterator {
public:
    using iterator_category = std::input_iterator_tag;
    using value_type = char;
    using difference_type = std::ptrdiff_t;
    using pointer = char const*;
    using reference = char const&;

    CountingIterator(char const* at, std::size_t* count) : m_at(at), m_count(count) {}
    reference operator*() const { return *m_at; }
    CountingIterator& operator++()
    {
        ++m_at;
        ++*m_count;
        return *this;
    }
    CountingIterator operator++(int)
    {
        CountingIterator const before = *this;
        ++*this;
        return before;
    }
    friend bool operator==(CountingIterator const& a, CountingIterator const& b) { return a.m_at == b.m_at; }
    friend bool operator!=(CountingIterator const& a, CountingIterator const& b) { return a.m_at != b.m_at; }

private:
    char const* m_at;
    std::size_t* m_count;
};

/// Turns rising offsets into lines and columns.
class Places {
public:
    explicit Places(std::string_view text) : m_text(text) {}

    SourcePosition at(std::size_t offset)
    {
        while (m_offset < offset && m_offset < m_text.size()) {
            if (m_text[m_offset++] == '\n') {
                ++m_line;
                m_line_start = m_offset;
            }
        }
        return {m_line, static_cast<int>(offset - m_line_start) + 1};
    }

private:
    std::string_view m_text;
    std::size_t m_offset = 0;
    std::size_t m_line_start = 0;
    int m_line = 1;
};

/// Where the first byte stands that is not part of UTF-8 (RFC 3629: no overlong forms, no surrogates, nothing above
/// U+10FFFF); the text's size where all is.
std::size_t first_invalid_utf8(std::string_view text)
{
    auto const byte = [&](std::size_t at) { return at < text.size() ? static_cast<unsigned char>(text[at]) : 0U; };
    std::size_t at = 0;
    while (at < text.size()) {
        unsigned const lead = byte(at);
        std::size_t const length = lead < 0x80   ? 1
                                   : lead < 0xC2 ? 0
                                   : lead < 0xE0 ? 2
                                   : lead < 0xF0 ? 3
                                   : lead < 0xF5 ? 4
                                                 : 0;
        unsigned const low = lead == 0xE0 ? 0xA0 : lead == 0xF0 ? 0x90 : 0x80;
        unsigned const high = lead == 0xED ? 0x9F : lead == 0xF4 ? 0x8F : 0xBF;
        bool sound = length > 0 && (length == 1 || (byte(at + 1) >= low && byte(at + 1) <= high));
        for (std::size_t i = 2; i < length; ++i)
            sound = sound && (byte(at + i) & 0xC0U) == 0x80;
        if (!sound)
            return at;
        at += length;
    }
    return at;
}

/// A control character (of the sets C0 and C1, or DEL) that is neither a line's end nor a tab. It has no business in a
/// lesson, and would let a file command the terminal that its findings are shown on.
std::optional<unsigned> control_character(std::string_view text)
{
    for (std::size_t i = 0; i < text.size(); ++i) {
        auto const byte = static_cast<unsigned char>(text[i]);
        if ((byte < 0x20 && byte != '\n' && byte != '\r' && byte != '\t') || byte == 0x7F)
            return byte;
        if (byte == 0xC2 && i + 1 < text.size() && static_cast<unsigned char>(text[i + 1]) < 0xA0)
            return static_cast<unsigned char>(text[i + 1]);
    }
    return std::nullopt;
}

/// Editors of some systems save "Unicode" as UTF-16, in which every other byte of plain text is zero.
bool looks_like_utf16(std::string_view text)
{
    return text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF") ||
           text.substr(0, 4).find('\0') != std::string_view::npos;
}

/// The sign at a place, in quotes, or by its number where it cannot be shown.
std::string unexpected_sign(std::string_view text, std::size_t offset)
{
    std::string_view const rest = text.substr(std::min(offset, text.size()));
    if (rest.starts_with('\t'))
        return "a tab";
    std::size_t length = 1;
    while (length < rest.size() && (static_cast<unsigned char>(rest[length]) & 0xC0) == 0x80)
        ++length;
    auto const control = control_character(rest.substr(0, length));
    return control ? fmt::format("the control character U+{:04X}", *control)
                   : fmt::format("'{}'", rest.substr(0, length));
}

/// Builds the tree from the parser's events. A token begins at the first byte after the one before it that is not
/// white space, a comma or a colon.
class TreeBuilder : public nlohmann::json_sax<nlohmann::json> {
public:
    TreeBuilder(std::string_view text, std::size_t const* consumed) : m_text(text), m_consumed(consumed), m_places(text)
    {
    }

    bool null() override { return add(start(JsonValue::Kind::null)); }
    bool boolean(bool value) override
    {
        JsonValue node = start(JsonValue::Kind::boolean);
        node.boolean = value;
        return add(std::move(node));
    }
    bool number_integer(number_integer_t) override { return number(); }
    bool number_unsigned(number_unsigned_t) override { return number(); }
    bool number_float(number_float_t, string_t const&) override { return number(); }
    bool string(string_t& value) override
    {
        JsonValue node = start(JsonValue::Kind::string);
        if (!sound(value, kLongestText, node.at))
            return false;
        node.text = std::move(value);
        return add(std::move(node));
    }
    bool binary(binary_t&) override { return false; }
    bool start_object(std::size_t) override { return open(JsonValue::Kind::object); }
    bool start_array(std::size_t) override { return open(JsonValue::Kind::array); }
    bool end_object() override { return close(); }
    bool end_array() override { return close(); }
    bool key(string_t& value) override
    {
        SourcePosition const at = place_of_token();
        if (!sound(value, kLongestName, at))
            return false;
        m_keys.push_back({std::move(value), {}, at});
        m_after_number = false;
        m_end = *m_consumed;
        return true;
    }
    bool parse_error(std::size_t, std::string const&, nlohmann::detail::exception const& error) override
    {
        // Out of range (1e999) is told by the number's digits later; the syntax is sound, but the parser stops here.
        explain(std::strstr(error.what(), "out_of_range") != nullptr);
        return false;
    }

    JsonReading finish()
    {
        if (!m_findings.empty())
            return {std::nullopt, std::move(m_findings)};
        return {std::move(m_root), {}};
    }

private:
    std::size_t token_start() const { return std::min(m_text.find_first_not_of(" \t\r\n,:", m_end), m_text.size()); }
    SourcePosition place_of_token() { return m_places.at(token_start()); }

    JsonValue start(JsonValue::Kind kind)
    {
        JsonValue node;
        node.kind = kind;
        node.at = place_of_token();
        m_end = *m_consumed;
        m_after_number = false;
        return node;
    }

    bool number()
    {
        std::size_t const begin = token_start();
        std::size_t const end = std::min(m_text.find_first_not_of("+-.eE0123456789", begin), m_text.size());
        JsonValue node = start(JsonValue::Kind::number);
        if (end - begin > kLongestName)
            return refuse("too-big", node.at, fmt::format("this number has {} digits", end - begin),
                          "write a smaller number");
        node.text = m_text.substr(begin, end - begin);
        m_after_number = true;
        m_end = end; // The parser has read one byte past the number.
        return add(std::move(node));
    }

    bool open(JsonValue::Kind kind)
    {
        JsonValue node = start(kind);
        if (m_open.size() >= static_cast<std::size_t>(kDeepestNesting))
            return refuse("too-big", node.at, fmt::format("values are nested deeper than {}", kDeepestNesting),
                          "a cue file needs no more than six levels");
        m_open.push_back(std::move(node));
        return true;
    }

    bool close()
    {
        m_end = *m_consumed;
        m_after_number = false;
        JsonValue node = std::move(m_open.back());
        node.end = m_places.at(m_end - 1);
        m_open.pop_back();
        return add(std::move(node));
    }

    bool add(JsonValue node)
    {
        if (++m_values > kMostValues)
            return refuse("too-big", node.at, fmt::format("the file holds more than {} values", kMostValues),
                          "split the lesson into several cue files");
        if (m_open.empty()) {
            m_root = std::move(node);
        } else if (m_open.back().kind == JsonValue::Kind::array) {
            m_open.back().items.push_back(std::move(node));
        } else {
            m_keys.back().value = std::move(node);
            m_open.back().members.push_back(std::move(m_keys.back()));
            m_keys.pop_back();
        }
        return true;
    }

    bool refuse(std::string code, SourcePosition at, std::string what, std::string mend)
    {
        m_findings.push_back({Severity::error, std::move(code), at, std::nullopt, std::move(what), std::move(mend)});
        return false;
    }

    /// Whether a text or key is one that a lesson may hold; else there is a finding.
    bool sound(std::string_view text, std::size_t longest, SourcePosition at)
    {
        if (text.size() > longest)
            return refuse("too-big", at, fmt::format("this text has more than {} characters", longest), "shorten it");
        if (auto const control = control_character(text))
            return refuse("bad-value", at, fmt::format("this text holds the control character U+{:04X}", *control),
                          "take it out; \\n begins a new line");
        return true;
    }

    /// One syntax error in words, from what stands where the next token should have been.
    void explain(bool out_of_range)
    {
        std::size_t const here = m_text.find_first_not_of(" \t\r\n", m_end);
        if (std::size_t const wrong = first_invalid_utf8(m_text); wrong < *m_consumed) {
            refuse("not-json", m_places.at(wrong), "this sign is not written in UTF-8", "save the file as UTF-8");
        } else if (out_of_range) {
            refuse("not-json", m_places.at(token_start()), "this number is too large for any program",
                   "write a smaller number");
        } else if (here == std::string_view::npos) {
            std::string const what = m_open.empty()
                                         ? "the file is empty"
                                         : fmt::format("the file ends inside the {} that begins on line {}",
                                                       m_open.back().kind == JsonValue::Kind::array ? "list" : "object",
                                                       m_open.back().at.line);
            refuse("not-json", m_places.at(m_text.size()), what, "close every { with } and every [ with ]");
        } else {
            explain_token(here);
        }
    }

    void explain_token(std::size_t here)
    {
        std::size_t const after = m_text.find_first_not_of(" \t\r\n", here + 1);
        char const next = after == std::string_view::npos ? '\0' : m_text[after];
        std::size_t const token = token_start();
        char const first = token < m_text.size() ? m_text[token] : '\0';
        if (m_root && first != '/')
            refuse("not-json", m_places.at(here), "the file goes on after the bracket that closes it",
                   "take out what follows that bracket, or the bracket");
        else if (m_text[here] == ',' && (next == '}' || next == ']'))
            refuse("not-json", m_places.at(here), "there is a comma before a closing bracket", "take the comma away");
        else if (m_text[here] == ',' && next == ',')
            refuse("not-json", m_places.at(after), "there is a second comma", "take one of the two away");
        else if (m_text[here] == ':' && m_after_number)
            refuse("not-json", m_places.at(here), "a number does not go on with a colon",
                   "write times in double quotes: \"0:12\"");
        else if (here == token && m_end > 0 && (first == '"' || first == '{' || first == '['))
            refuse("not-json", m_places.at(here), "a comma (or, after a key, a colon) is missing before this",
                   "put it at the end of the value before");
        else if (auto const control = first == '"' ? control_inside(token) : m_text.size(); control < m_text.size())
            refuse("not-json", m_places.at(control),
                   fmt::format("this text holds {}", unexpected_sign(m_text, control)),
                   "write a space, or \\t for a tab");
        else if (first == '"')
            refuse(
                "not-json", m_places.at(token),
                unclosed(token) ? "this text is not closed on its line"
                                : "this text holds a sign that JSON does not allow",
                "end it with a double quote; inside write \\\" for a quote, \\\\ for a backslash, \\n for a new line");
        else if (first == '/')
            refuse("not-json", m_places.at(token), "JSON has no comments", "write a \"note\" instead");
        else
            refuse("not-json", m_places.at(std::min(token, m_text.size())),
                   fmt::format("{} is not expected here", unexpected_sign(m_text, token)),
                   "text stands in straight double quotes, numbers begin with a digit");
    }

    /// Where a text on one line holds a control character, which JSON does not allow; the file's size where it does
    /// not.
    std::size_t control_inside(std::size_t quote) const
    {
        for (std::size_t i = quote + 1; i < m_text.size() && m_text[i] != '"' && m_text[i] != '\n'; ++i) {
            if (m_text[i] == '\\')
                ++i;
            else if (static_cast<unsigned char>(m_text[i]) < 0x20 && m_text[i] != '\r')
                return i;
        }
        return m_text.size();
    }

    bool unclosed(std::size_t quote) const
    {
        for (std::size_t i = quote + 1; i < m_text.size(); ++i) {
            if (m_text[i] == '\\')
                ++i;
            else if (m_text[i] == '"')
                return false;
            else if (m_text[i] == '\n')
                return true;
        }
        return true;
    }

    std::string_view m_text;
    std::size_t const* m_consumed;
    Places m_places;
    std::size_t m_end = 0; ///< of the last token
    std::size_t m_values = 0;
    bool m_after_number = false;
    std::vector<JsonValue> m_open;
    std::vector<JsonValue::Member> m_keys;
    std::optional<JsonValue> m_root;
    std::vector<Finding> m_findings;
};

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
    text = without_mark(text);
    if (text.size() > kMostCueFileBytes)
        return {std::nullopt,
                {{Severity::error,
                  "too-big",
                  {1, 1},
                  std::nullopt,
                  fmt::format("the file is larger than {} MiB", kMostCueFileBytes / 1024 / 1024),
                  "split the lesson into several cue files"}}};
    if (looks_like_utf16(text))
        return {std::nullopt,
                {{Severity::error,
                  "not-json",
                  {1, 1},
                  std::nullopt,
                  "the file is not written in UTF-8, most likely in UTF-16",
                  "save it as UTF-8 text"}}};
    // The parser takes a zero byte for the end of the file.
    if (std::size_t const zero = text.find('\0'); zero != std::string_view::npos)
        return {std::nullopt,
                {{Severity::error, "not-json", Places(text).at(zero), std::nullopt,
                  "the file holds the control character U+0000", "take it out, or save the file again as text"}}};
    std::size_t consumed = 0;
    TreeBuilder builder(text, &consumed);
    nlohmann::json::sax_parse(CountingIterator(text.data(), &consumed),
                              CountingIterator(text.data() + text.size(), &consumed), &builder);
    return builder.finish();
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

std::string_view without_mark(std::string_view text)
{
    text.remove_prefix(text.starts_with(kByteOrderMark) ? kByteOrderMark.size() : 0);
    return text;
}

} // namespace tabard::pipeline
