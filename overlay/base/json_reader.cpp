#include "overlay/base/json_reader.h"

#include "overlay/base/characters.h"
#include "overlay/base/json_mistake.h"
#include "overlay/base/utf8.h"

#include <algorithm>
#include <cstring>
#include <iterator>
#include <set>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace tabard {
namespace {

using Kind = JsonEvents::Kind;
using Problem = JsonProblem::Kind;
using After = JsonStop::After;

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

    JsonPlace at(std::size_t offset)
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

/// The end of the number that begins at `at` (RFC 8259, section 6): that of 005 is after its first 0.
std::size_t number_end(std::string_view text, std::size_t at)
{
    auto const take = [&](std::string_view signs) {
        bool const is_one = at < text.size() && signs.find(text[at]) != std::string_view::npos;
        at += is_one ? 1 : 0;
        return is_one;
    };
    auto const take_digits = [&] { at = std::min(text.find_first_not_of("0123456789", at), text.size()); };
    take("-");
    if (!take("0"))
        take_digits();
    if (take("."))
        take_digits();
    if (take("eE")) {
        take("+-");
        take_digits();
    }
    return at;
}

/// A control character (of the sets C0 and C1, or DEL) that is neither a line's end nor a tab. Shown on a
/// terminal it would command it.
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
    if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF"))
        return true;
    return text.size() >= 2 && (text[0] == '\0') != (text[1] == '\0');
}

/// Films, sound and pictures hold zero bytes at their beginning; no text does.
bool looks_like_no_text(std::string_view text)
{
    constexpr std::size_t kBeginning = 64;
    return !text.empty() && static_cast<unsigned char>(text[0]) < 0x20 &&
           text.substr(0, kBeginning).find('\0') != std::string_view::npos;
}

/// Hands the parser's events on with their places. A token begins at the first byte after the one before it that is not
/// white space, a comma or a colon.
class Reader : public nlohmann::json_sax<nlohmann::json> {
public:
    Reader(std::string_view text, std::size_t const* consumed, JsonLimits const& limits, JsonEvents& events)
        : m_text(text), m_consumed(consumed), m_limits(limits), m_events(events), m_places(text)
    {
    }

    bool null() override { return scalar(Kind::null, ""); }
    bool boolean(bool value) override { return scalar(Kind::boolean, value ? "true" : "false"); }
    bool number_integer(number_integer_t) override { return number(); }
    bool number_unsigned(number_unsigned_t) override { return number(); }
    bool number_float(number_float_t, string_t const&) override { return number(); }
    bool string(string_t& value) override
    {
        return sound(value, m_limits.text, place_of_token()) && scalar(Kind::string, std::move(value));
    }
    bool binary(binary_t&) override { return false; }
    bool start_object(std::size_t) override { return open(Kind::object); }
    bool start_array(std::size_t) override { return open(Kind::array); }
    bool end_object() override { return close(); }
    bool end_array() override { return close(); }
    bool key(string_t& value) override
    {
        JsonPlace const at = place_of_token();
        if (!sound(value, m_limits.name, at))
            return false;
        m_events.key(std::move(value), at);
        end_token(After::key);
        return true;
    }
    bool parse_error(std::size_t, std::string const&, nlohmann::detail::exception const& error) override
    {
        // Out of range (1e999) is told by the number's digits later; the syntax is sound, but the parser stops here.
        explain(std::strstr(error.what(), "out_of_range") != nullptr);
        return false;
    }

    std::optional<JsonProblem> take_problem() { return std::move(m_problem); }

private:
    std::size_t token_start() const { return std::min(m_text.find_first_not_of(" \t\r\n,:", m_end), m_text.size()); }
    JsonPlace place_of_token() { return m_places.at(token_start()); }

    void end_token(After after)
    {
        m_last = token_start();
        m_end = *m_consumed;
        m_after = after;
    }

    bool scalar(Kind kind, std::string text)
    {
        JsonPlace const at = place_of_token();
        end_token(After::value);
        return counted(at) && (m_events.scalar(kind, std::move(text), at), true);
    }

    bool number()
    {
        JsonPlace const at = place_of_token();
        std::size_t const begin = token_start();
        std::size_t const end = number_end(m_text, begin);
        if (end - begin > m_limits.name)
            return refuse(Problem::too_big, at, fmt::format("this number has {} digits", end - begin),
                          "write a smaller number");
        m_last = begin;
        m_after = After::value;
        m_end = end; // The parser has read one byte past the number.
        return counted(at) && (m_events.scalar(Kind::number, std::string(m_text.substr(begin, end - begin)), at), true);
    }

    bool open(Kind kind)
    {
        JsonPlace const at = place_of_token();
        end_token(After::opening);
        if (m_open.size() >= m_limits.depth)
            return refuse(Problem::too_big, at, fmt::format("values are nested more than {} deep", m_limits.depth),
                          "nest them less deeply");
        if (!counted(at))
            return false;
        m_open.push_back({kind == Kind::array, m_last});
        m_events.open(kind, at);
        return true;
    }

    bool close()
    {
        end_token(After::value);
        m_open.pop_back();
        m_events.close(m_places.at(m_end - 1));
        return true;
    }

    bool counted(JsonPlace at)
    {
        if (++m_values <= m_limits.values)
            return true;
        return refuse(Problem::too_big, at, fmt::format("the file holds more than {} values", m_limits.values),
                      std::string(m_limits.advice));
    }

    bool refuse(Problem kind, JsonPlace at, std::string what, std::string fix)
    {
        m_problem = JsonProblem{kind, at, std::move(what), std::move(fix)};
        return false;
    }

    /// Whether a text or key is within the limits.
    bool sound(std::string_view text, std::size_t longest, JsonPlace at)
    {
        if (text.size() > longest)
            return refuse(Problem::too_big, at, fmt::format("this text has more than {} characters", longest),
                          "shorten it");
        if (auto const control = m_limits.control_characters ? std::nullopt : control_character(text))
            return refuse(Problem::control_character, at,
                          fmt::format("this text holds the control character U+{:04X}", *control), fix_of_control());
        return true;
    }

    /// Windows' names of files make control characters of \b and \f.
    std::string fix_of_control() const
    {
        std::string_view const written = m_text.substr(token_start(), *m_consumed - token_start());
        bool const escaped =
            written.find("\\b") != std::string_view::npos || written.find("\\f") != std::string_view::npos;
        return escaped ? std::string(kBackslashAdvice) : "take it out; \\n begins a new line";
    }

    /// One syntax error in words, from what stands where the next token should have been.
    void explain(bool out_of_range)
    {
        if (std::size_t const wrong = first_invalid_utf8(m_text); wrong < *m_consumed) {
            refuse(Problem::syntax, m_places.at(wrong), "this character is not written in UTF-8",
                   "save the file as UTF-8");
        } else if (out_of_range) {
            refuse(Problem::syntax, m_places.at(token_start()), "this number is too large for any program",
                   "write a smaller number");
        } else {
            JsonMistake mistake = json_mistake({m_text, m_after, m_last, m_end, m_open});
            // From the beginning: it may lie before what was read last.
            refuse(Problem::syntax, Places(m_text).at(mistake.at), std::move(mistake.what), std::move(mistake.fix));
        }
    }

    std::string_view m_text;
    std::size_t const* m_consumed;
    JsonLimits const& m_limits;
    JsonEvents& m_events;
    Places m_places;
    std::size_t m_end = 0; ///< of the last token
    std::size_t m_values = 0;
    After m_after = After::nothing;
    std::size_t m_last = 0; ///< where the last token begins
    std::vector<JsonStop::Bracket> m_open;
    std::optional<JsonProblem> m_problem;
};

/// Builds a value, and knows when an object names a member twice.
class ValueBuilder : public JsonEvents {
public:
    void key(std::string name, JsonPlace at) override
    {
        if (!m_names.back().insert(name).second && !twice)
            twice = JsonProblem{Problem::syntax, at, fmt::format("\"{}\" stands twice in this object", name),
                                "take one of the two away"};
        m_keys.push_back(std::move(name));
    }
    void scalar(Kind kind, std::string text, JsonPlace) override { add(value_of(kind, std::move(text))); }
    void open(Kind kind, JsonPlace) override
    {
        m_open.push_back(add(kind == Kind::array ? Json::array() : Json::object()));
        m_names.emplace_back();
    }
    void close(JsonPlace) override
    {
        m_open.pop_back();
        m_names.pop_back();
    }

    nlohmann::ordered_json value;
    std::optional<JsonProblem> twice;

private:
    using Json = nlohmann::ordered_json;

    static Json value_of(Kind kind, std::string text)
    {
        switch (kind) {
        case Kind::string:
            return text;
        case Kind::number:
        case Kind::boolean:
            return Json::parse(text); // the reader has found it sound
        case Kind::null:
        case Kind::array:
        case Kind::object:
            break;
        }
        return nullptr;
    }

    Json* add(Json json)
    {
        if (m_open.empty())
            return &(value = std::move(json));
        Json& parent = *m_open.back();
        if (parent.is_array())
            return &parent.emplace_back(std::move(json));
        // Not parent[key], which would look through all members each time.
        auto& members = parent.get_ref<Json::object_t&>();
        members.emplace_back(std::move(m_keys.back()), std::move(json));
        m_keys.pop_back();
        return &members.back().second;
    }

    std::vector<Json*> m_open; ///< a parent gets no further member while its last is open, so these stay
    std::vector<std::set<std::string>> m_names; ///< of the members of each that is open
    std::vector<std::string> m_keys;
};

std::optional<JsonProblem> refused(JsonPlace at, Problem kind, std::string what, std::string fix)
{
    return JsonProblem{kind, at, std::move(what), std::move(fix)};
}

} // namespace

std::optional<JsonProblem> read_json(std::string_view text, JsonLimits const& limits, JsonEvents& events)
{
    text = without_byte_order_mark(text);
    if (text.size() > limits.bytes)
        return refused({}, Problem::too_big, fmt::format("the file is larger than {} MiB", limits.bytes / 1024 / 1024),
                       std::string(limits.advice));
    if (looks_like_utf16(text))
        return refused({}, Problem::syntax, "the file is not written in UTF-8, most likely in UTF-16",
                       "save it as UTF-8 text");
    if (looks_like_no_text(text))
        return refused({}, Problem::syntax, "this file is no text: it may be a film, a sound or a picture",
                       "give the text file in JSON that belongs here");
    if (text.starts_with("{\\rtf"))
        return refused({}, Problem::syntax, "this file is RTF, as word processors write it, and no plain text",
                       "save it as plain text (.txt, then name it .json)");
    // The parser takes a zero byte for the end of the file.
    if (std::size_t const zero = text.find('\0'); zero != std::string_view::npos)
        return refused(Places(text).at(zero), Problem::syntax, "the file holds the control character U+0000",
                       "take it out, or save the file again as text");
    std::size_t consumed = 0;
    Reader reader(text, &consumed, limits, events);
    nlohmann::json::sax_parse(CountingIterator(text.data(), &consumed),
                              CountingIterator(text.data() + text.size(), &consumed), &reader);
    return reader.take_problem();
}

Result<nlohmann::ordered_json> parse_json(std::string_view text, JsonLimits const& limits)
{
    ValueBuilder builder;
    auto problem = read_json(text, limits, builder);
    if (!problem)
        problem = std::move(builder.twice);
    if (!problem)
        return std::move(builder.value);
    return Error{ErrorKind::invalid_input, fmt::format("line {}, column {}: {}; {}", problem->at.line,
                                                       problem->at.column, problem->what, problem->fix)};
}

} // namespace tabard
