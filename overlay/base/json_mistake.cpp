#include "overlay/base/json_mistake.h"

#include "overlay/base/characters.h"
#include "overlay/base/small_letters.h"

#include <algorithm>
#include <array>
#include <optional>

#include <fmt/format.h>

namespace tabard {
namespace {

using After = JsonStop::After;

constexpr std::string_view kSpace = " \t\r\n";
/// Quotes of print, which word processors and phones put for the straight one.
constexpr std::array<std::string_view, 13> kPrintedQuotes{"\u201C", "\u201D", "\u201E", "\u201F", "\u2018",
                                                          "\u2019", "\u201A", "\u00AB", "\u00BB", "\u2033",
                                                          "\u2032", "`",      "\u00B4"};

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_'; }

/// A printed quote that `text` begins with; empty where it does not.
std::string_view printed_quote(std::string_view text)
{
    auto const found = std::ranges::find_if(kPrintedQuotes, [&](auto quote) { return text.starts_with(quote); });
    return found == kPrintedQuotes.end() ? std::string_view{} : *found;
}

class Explainer {
public:
    explicit Explainer(JsonStop const& stop) : m_stop(stop), m_text(stop.text)
    {
        m_here = std::min(m_text.find_first_not_of(kSpace, stop.end), m_text.size());
    }

    JsonMistake explain() const
    {
        if (m_here == m_text.size())
            return at_the_end();
        std::size_t const token = std::min(m_text.find_first_not_of(" \t\r\n,:", m_stop.end), m_text.size());
        if (begins_comment(m_here) || begins_comment(token))
            return {begins_comment(m_here) ? m_here : token, "JSON has no comments", "write a \"note\" instead"};
        if (m_stop.after == After::nothing)
            return value_wanted(m_here);
        if (m_stop.open.empty())
            return {m_here, "the file goes on after the bracket that closes it",
                    "take out what follows that bracket, or the bracket"};
        if (m_stop.after == After::key)
            return after_key();
        if (m_stop.after == After::value)
            return after_value();
        return in_list() ? value_wanted(m_here) : key_wanted(m_here);
    }

private:
    bool in_list() const { return !m_stop.open.empty() && m_stop.open.back().list; }
    bool in_object() const { return !m_stop.open.empty() && !m_stop.open.back().list; }
    char sign(std::size_t at) const { return at < m_text.size() ? m_text[at] : '\0'; }
    std::size_t next(std::size_t at) const { return std::min(m_text.find_first_not_of(kSpace, at + 1), m_text.size()); }
    std::ptrdiff_t line(std::size_t at) const
    {
        return 1 + std::count(m_text.begin(), m_text.begin() + static_cast<std::ptrdiff_t>(at), '\n');
    }

    bool begins_comment(std::size_t at) const
    {
        // A slash right behind a number is no comment: 4/4.
        bool const behind_number = at == m_stop.end && m_stop.after == After::value && is_digit(sign(m_stop.last));
        return sign(at) == '#' || (sign(at) == '/' && !behind_number);
    }

    /// What stands from `at` up to white space or a sign of JSON, not longer than a message bears.
    std::string word(std::size_t at) const
    {
        constexpr std::size_t kLongest = 40;
        std::size_t const end = std::min({m_text.find_first_of(" \t\r\n,;]}\"", at), at + kLongest, m_text.size()});
        std::string_view text = m_text.substr(at, end - at);
        while (at + text.size() < m_text.size() && continues_character(m_text[at + text.size()]) && !text.empty())
            text.remove_suffix(1);
        bool const plain = std::ranges::all_of(text, [](char c) { return static_cast<unsigned char>(c) > 0x20; });
        return plain ? std::string(text) : "";
    }

    /// The text or key of the last token, with its quotes.
    std::string last_token() const
    {
        constexpr std::size_t kLongest = 60;
        std::string_view const token = m_text.substr(m_stop.last, m_stop.end - m_stop.last);
        return token.size() > kLongest ? "" : std::string(token);
    }

    JsonMistake unexpected(std::size_t at) const
    {
        return {at, fmt::format("{} is not expected here", sign_in_words(m_text, at)),
                "texts and keys stand in straight double quotes, numbers begin with a digit"};
    }

    JsonMistake at_the_end() const
    {
        if (m_stop.open.empty())
            return {m_text.size(), "the file is empty", "write { at its beginning and } at its end"};
        std::string closing;
        for (auto bracket = m_stop.open.rbegin(); bracket != m_stop.open.rend(); ++bracket)
            closing += bracket->list ? ']' : '}';
        return {m_text.size(),
                fmt::format("the file ends inside the {} that begins on line {}", in_list() ? "list" : "object",
                            line(m_stop.open.back().at)),
                closing.size() > 8 ? std::string{"close every { with } and every [ with ]"}
                                   : fmt::format("write {} here, or each where its part ends", closing)};
    }

    /// A bracket that closes or begins what it cannot: the innermost one that is open was not closed.
    JsonMistake not_closed(std::size_t at) const
    {
        return {at,
                fmt::format("the {} that begins on line {} is not closed before this {}", in_list() ? "list" : "object",
                            line(m_stop.open.back().at), sign_in_words(m_text, at)),
                fmt::format("write {} where it ends", in_list() ? ']' : '}')};
    }

    JsonMistake after_key() const
    {
        std::string const key = last_token();
        if (sign(m_here) != ':') {
            if (runs_into_word())
                return quote_lost();
            if (key.ends_with(":\""))
                return {m_stop.last, fmt::format("the colon stands inside the quotes of {}", key),
                        fmt::format("write {}\": and then the value", key.substr(0, key.size() - 2))};
            return {m_here, fmt::format("the key {} has no colon behind it", key),
                    fmt::format("write {}: and then the value", key)};
        }
        std::size_t const at = next(m_here);
        if (at == m_text.size() || sign(at) == ',' || sign(at) == '}' || sign(at) == ']')
            return {at, fmt::format("the key {} has no value", key), "write one after the colon, or take the key out"};
        if (sign(at) == ':')
            return {at, "there is a second colon", "take one of the two away"};
        return value_wanted(at);
    }

    JsonMistake after_value() const
    {
        if (sign(m_here) == ',')
            return after_comma(next(m_here));
        bool const number = is_digit(sign(m_stop.last)) || sign(m_stop.last) == '-';
        if (m_here == m_stop.end && number && std::string_view(";{[]}\"").find(sign(m_here)) == std::string_view::npos)
            return number_goes_on();
        if (runs_into_word())
            return quote_lost();
        switch (sign(m_here)) {
        case ';':
            return {m_here, "a semicolon stands where a comma belongs", "write , and not ;"};
        case '{':
        case '[':
            if (in_object())
                return not_closed(m_here);
            [[fallthrough]];
        case '"':
            return {m_here, "a comma is missing before this", "write , at the end of the value before"};
        case ']':
        case '}':
            return not_closed(m_here);
        case ':':
            if (in_list())
                return {m_here,
                        fmt::format("a key stands in the list that begins on line {}, without an object",
                                    line(m_stop.open.back().at)),
                        "write { before the key and } after the last value that belongs to it"};
            return {m_here, "a colon follows a value", "write , between a value and the next key"};
        default:
            return {m_here, fmt::format("{} is not expected here", sign_in_words(m_text, m_here)),
                    "after a value comes a comma, or the bracket that closes"};
        }
    }

    JsonMistake after_comma(std::size_t at) const
    {
        if (at == m_text.size())
            return at_the_end();
        if (sign(at) == ',')
            return {at, "there is a second comma", "take one of the two away"};
        bool const closes = sign(at) == (in_list() ? ']' : '}');
        if (closes)
            return {m_here, "there is a comma before a closing bracket", "take the comma away"};
        if (is_digit(sign(m_stop.last)) && m_here == m_stop.end && at == m_here + 1 && is_digit(sign(at)) &&
            in_object())
            return {m_here, "a comma stands inside a number",
                    fmt::format("write a point: {}.{}", last_token(), word(at))};
        return in_list() ? value_wanted(at) : key_wanted(at);
    }

    /// 0:12, 4/4, 2nd.
    JsonMistake number_goes_on() const
    {
        std::string const written = word(m_stop.last);
        if (written.size() > 1 && sign(m_stop.last) == '0' && is_digit(sign(m_stop.last + 1)))
            return {m_stop.last, fmt::format("the number {} begins with a zero", written),
                    "take the zeros in front away, or write it in double quotes"};
        return {m_stop.last, fmt::format("{} is no number", written),
                fmt::format("write it in double quotes: \"{}\"", written)};
    }

    /// A text ends, and right behind its quote goes on what looks like a word.
    bool runs_into_word() const
    {
        return sign(m_stop.last) == '"' && m_here == m_stop.end &&
               (is_letter(sign(m_here)) || is_digit(sign(m_here)) || continues_or_begins_character(sign(m_here)));
    }
    static bool continues_or_begins_character(char c) { return static_cast<unsigned char>(c) >= 0x80; }

    JsonMistake quote_lost() const
    {
        std::string const token = last_token();
        return {
            m_stop.last,
            fmt::format("a quote is missing, or one too many stands in this text{}{}", token.empty() ? "" : ": ",
                        token.empty() ? token : fmt::format("it reads as {}, and then comes {}", token, word(m_here))),
            "close the text where it ends; write \\\" for a quote inside it"};
    }

    JsonMistake key_wanted(std::size_t at) const
    {
        if (sign(at) == '"')
            return text_mistake(at);
        if (m_stop.after == After::opening && (sign(at) == '{' || sign(at) == '['))
            return {at,
                    fmt::format("the object that begins on line {} has no key before this {}",
                                line(m_stop.open.back().at), sign_in_words(m_text, at)),
                    "write a list in [ ], not in { }"};
        if (sign(at) == '{' || sign(at) == '[' || sign(at) == ']')
            return not_closed(at);
        if (auto const quote = quote_mistake(at))
            return *quote;
        std::string const key = word(at);
        if (is_letter(sign(at)) || is_digit(sign(at)))
            return {at,
                    fmt::format("{} is not expected here: a key stands in double quotes", sign_in_words(m_text, at)),
                    fmt::format("write \"{}\"", key.substr(0, key.find_first_of(":=")))};
        return unexpected(at);
    }

    JsonMistake value_wanted(std::size_t at) const
    {
        if (sign(at) == '"')
            return text_mistake(at);
        if ((sign(at) == '}' || sign(at) == ']') && !m_stop.open.empty())
            return not_closed(at);
        if (auto const quote = quote_mistake(at))
            return *quote;
        if (m_stop.after == After::nothing)
            return {at, fmt::format("{} is not expected here: JSON begins with {{", sign_in_words(m_text, at)),
                    "give a JSON file, or write { at its beginning"};
        if (is_letter(sign(at)))
            return word_mistake(at);
        if (is_digit(sign(at)) || sign(at) == '-' || sign(at) == '+' || sign(at) == '.')
            return number_mistake(at);
        return unexpected(at);
    }

    std::optional<JsonMistake> quote_mistake(std::size_t at) const
    {
        if (sign(at) == '\'')
            return JsonMistake{at, "a single quote is not expected here", "write double quotes: \""};
        std::string_view const quote = printed_quote(m_text.substr(at));
        if (quote.empty())
            return std::nullopt;
        return JsonMistake{at, fmt::format("'{}' is not expected here: it is a quote of printed text", quote),
                           "write the straight quote \" and switch \"smart quotes\" off in your editor"};
    }

    JsonMistake word_mistake(std::size_t at) const
    {
        std::string const written = word(at);
        std::string const lower = small_letters(written);
        std::string const what = fmt::format("{} is not expected here", sign_in_words(m_text, at));
        if (lower == "nan" || lower.starts_with("inf"))
            return {at, what, "NaN and Infinity are no JSON numbers: the program that wrote them lost a value there"};
        if (lower == "true" || lower == "yes" || lower == "on")
            return {at, what, "write true, in small letters and without quotes"};
        if (lower == "false" || lower == "no" || lower == "off")
            return {at, what, "write false, in small letters and without quotes"};
        return {at, what + ": text stands in double quotes",
                sign(at + written.size()) == ' ' || written.empty() ? "write \" before and after it"
                                                                    : fmt::format("write \"{}\"", written)};
    }

    JsonMistake number_mistake(std::size_t at) const
    {
        std::string const written = word(at);
        if (written.starts_with("-Inf") || written.starts_with("-NaN"))
            return {at, fmt::format("{} is no number", written),
                    "NaN and Infinity are no JSON numbers: the program that wrote them lost a value there"};
        if (written.starts_with('.'))
            return {at, fmt::format("{} is no number", written), fmt::format("write 0{}", written)};
        if (written.starts_with('+'))
            return {at, fmt::format("{} is no number", written), fmt::format("write {}", written.substr(1))};
        return {at, fmt::format("{} is no number", written.empty() ? sign_in_words(m_text, at) : written),
                "write digits, with a point before decimals: 1.5"};
    }

    /// The parser has refused the text that begins at `quote`.
    JsonMistake text_mistake(std::size_t quote) const
    {
        std::string_view printed;
        for (std::size_t i = quote + 1; i < m_text.size() && m_text[i] != '"' && m_text[i] != '\n'; ++i) {
            if (m_text[i] == '\\') {
                if (auto const mistake = escape_mistake(i))
                    return *mistake;
                i += is_pair(i) ? 11 : 1;
            } else if (static_cast<unsigned char>(m_text[i]) < 0x20 && m_text[i] != '\r') {
                return {i, fmt::format("this text holds {}", sign_in_words(m_text, i)),
                        "write a space, or \\t for a tab"};
            } else if (auto const sign = printed_quote(m_text.substr(i)); !sign.empty() && sign != "\u2019") {
                printed = sign;
            }
        }
        if (!printed.empty())
            return {quote, fmt::format("this text is not closed on its line: it begins with \" and holds {}", printed),
                    "write the straight quote \" at its end"};
        return {quote, "this text is not closed on its line",
                "write \" where it ends; a text of several lines is a list: [\"one\", \"two\"]"};
    }

    /// Whether \uXXXX stands at `at` with a number from D800 (`low` 0) or DC00 (4) on: half of a surrogate pair.
    bool is_half(std::size_t at, int low) const
    {
        std::string_view const escape = m_text.substr(std::min(at, m_text.size()), 6);
        if (escape.size() < 6 || !escape.starts_with("\\u") || (escape[2] != 'd' && escape[2] != 'D') ||
            escape.find_first_not_of("0123456789abcdefABCDEF", 3) != std::string_view::npos)
            return false;
        return std::string_view(low == 0 ? "89abAB" : "cdefCDEF").find(escape[3]) != std::string_view::npos;
    }
    bool is_pair(std::size_t at) const { return is_half(at, 0) && is_half(at + 6, 4); }

    /// What follows the backslash at `at` is no escape of RFC 8259, section 7.
    std::optional<JsonMistake> escape_mistake(std::size_t at) const
    {
        char const kind = sign(at + 1);
        if (std::string_view("\"\\/bfnrt").find(kind) != std::string_view::npos && kind != '\0')
            return std::nullopt;
        std::string_view const digits = m_text.substr(std::min(at + 2, m_text.size()), 4);
        bool const hex =
            digits.size() == 4 && digits.find_first_not_of("0123456789abcdefABCDEF") == std::string_view::npos;
        if ((is_half(at, 0) && !is_pair(at)) || is_half(at, 4))
            return JsonMistake{at, fmt::format("\\u{} is half of a sign", digits), "write the sign itself"};
        if (kind == 'u' && hex)
            return std::nullopt;
        bool const shown = kind > 0x20 && kind < 0x7F;
        return JsonMistake{at,
                           shown ? fmt::format("\\{} means nothing in JSON", kind) : "this \\ means nothing in JSON",
                           std::string(kBackslashAdvice)};
    }

    JsonStop const& m_stop;
    std::string_view m_text;
    std::size_t m_here = 0; ///< the first sign after the last token that is not white space
};

} // namespace

JsonMistake json_mistake(JsonStop const& stop) { return Explainer(stop).explain(); }

std::string sign_in_words(std::string_view text, std::size_t offset)
{
    std::string_view const rest = text.substr(std::min(offset, text.size()));
    if (rest.empty())
        return "the end of the file";
    if (rest.starts_with('\t'))
        return "a tab";
    std::size_t length = 1;
    while (length < rest.size() && continues_character(rest[length]))
        ++length;
    auto const first = static_cast<unsigned char>(rest[0]);
    unsigned const second = length > 1 ? static_cast<unsigned char>(rest[1]) : 0U;
    if (first < 0x20 || first == 0x7F)
        return fmt::format("the control character U+{:04X}", static_cast<unsigned>(first));
    if (first == 0xC2 && second < 0xA0)
        return fmt::format("the control character U+{:04X}", second);
    return fmt::format("'{}'", rest.substr(0, length));
}

} // namespace tabard
