#include "pipeline/cues/object_reader.h"

#include "overlay/base/letters.h"
#include "overlay/base/nearest_word.h"
#include "overlay/base/small_letters.h"
#include "pipeline/cues/json_text.h"
#include "pipeline/cues/key_advice.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <iterator>
#include <map>
#include <set>
#include <tuple>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kMostFindings = 10'000;
constexpr std::size_t kMostSuggestions = 200;

/// "76", "76.5" in thousandths; none for anything else.
std::optional<std::int64_t> thousandths(std::string_view text)
{
    std::int64_t value = 0;
    auto const [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    std::string_view rest = text.substr(static_cast<std::size_t>(end - text.data()));
    if (error != std::errc{} || value < 0 || value > 1'000'000 || (!rest.empty() && rest[0] != '.') || rest == ".")
        return std::nullopt;
    if (!rest.empty())
        rest.remove_prefix(1);
    if (rest.size() > 3 || rest.find_first_not_of("0123456789") != std::string_view::npos)
        return std::nullopt;
    std::int64_t fraction = 0;
    for (std::size_t i = 0; i < 3; ++i)
        fraction = fraction * 10 + (i < rest.size() ? rest[i] - '0' : 0);
    return value * 1000 + fraction;
}

/// A message that repeats what an author wrote stays readable, however much that is.
std::string shortened(std::string what)
{
    constexpr std::size_t kLongest = 400;
    constexpr std::size_t kBegin = 250;
    constexpr std::size_t kEnd = 100;
    if (what.size() <= kLongest)
        return what;
    return fmt::format("{} \u2026 {}", first_letters(what, kBegin), last_letters(what, kEnd));
}

/// The first number in a text: "2" of "2nd fret". Empty where it holds none or several.
std::string number_in(std::string_view text)
{
    constexpr std::string_view kDigits = "0123456789";
    auto const begin = text.find_first_of(kDigits);
    if (begin == std::string_view::npos)
        return "";
    auto end = std::min(text.find_first_not_of("0123456789.", begin), text.size());
    if (text.find_first_of(kDigits, end) != std::string_view::npos || end - begin > 9)
        return "";
    while (text[end - 1] == '.')
        --end;
    return std::string(text.substr(begin, end - begin));
}

std::string advice_of_number(JsonValue const& value)
{
    std::string const number = value.kind == JsonValue::Kind::string ? number_in(value.text) : "";
    return value.kind != JsonValue::Kind::string ? "write a number"
           : number.empty()                      ? "write a number, without quotes"
           : number == value.text                ? fmt::format("write it without quotes: {}", number)
                                                 : fmt::format("write the number alone, without quotes: {}", number);
}

/// The time that a text most likely means: 1m35s, 1'35, 0:05,5, 5 s; else what the reader of times advises.
std::string advice_of_time(std::string_view text, std::string const& advice)
{
    std::string const otherwise = advice.empty() ? "write minutes and seconds, as in \"1:35\"" : advice;
    constexpr std::size_t kLongest = 20;
    std::string likely;
    if (auto const decimals = text.rfind(':'); text.size() - decimals == 4 && std::ranges::count(text, ':') == 3)
        return advice_of_time(std::string(text).replace(decimals, 1, "."), otherwise); // 0:00:16:600
    for (char const c : text.substr(0, kLongest))
        if (c == ',' || (c >= '0' && c <= '9') || c == '.' || c == ':')
            likely += c == ',' ? '.' : c;
        else if (c == 'm' || c == '\'' || c == 'h')
            likely += ':';
        else if (c != ' ' && c != 's' && c != '"' && c != 'i' && c != 'n')
            return otherwise;
    if (std::ranges::count(likely, '.') > 1)
        *std::ranges::find(likely, '.') = ':';
    auto const time = parse_time(likely);
    bool const hours_are_lost = text.find('h') != std::string_view::npos && std::ranges::count(likely, ':') < 2;
    return time && !hours_are_lost ? fmt::format("write \"{}\"", print_time_exact(*time)) : otherwise;
}

/// `write "0:43"` with what stands beside it in the text: a page may put it there as it is.
std::string beside(std::string advice, std::string_view before, std::string_view after)
{
    constexpr std::string_view kWrite = "write \"";
    if (!advice.starts_with(kWrite) || !advice.ends_with('"'))
        return advice;
    advice.insert(advice.size() - 1, after);
    advice.insert(kWrite.size(), before);
    return advice;
}

/// The meter that a value most likely means: 4:4, "3-4", "6 8", 4, C, "waltz".
std::string advice_of_meter(JsonValue const& value)
{
    constexpr std::array<std::pair<std::string_view, std::string_view>, 6> kWords{{{"c", "4/4"},
                                                                                   {"common", "4/4"},
                                                                                   {"common time", "4/4"},
                                                                                   {"cut", "2/2"},
                                                                                   {"cut time", "2/2"},
                                                                                   {"waltz", "3/4"}}};
    std::string text = small_letters(value.text.substr(0, 20));
    if (auto const word = std::ranges::find(kWords, text, &std::pair<std::string_view, std::string_view>::first);
        word != kWords.end())
        return fmt::format("write \"{}\"", word->second);
    if (text.find('/') == std::string::npos && text.find_last_not_of("0123456789") == std::string::npos)
        text += "/4";
    if (auto const between = text.find_first_not_of("0123456789"); between != std::string::npos)
        text.replace(between, text.find_first_of("0123456789", between) - between, "/");
    if (auto const meter = overlay::Meter::parse(text))
        return fmt::format("write \"{}\"", meter->text());
    return "write beats and unit, as in \"4/4\" or \"6/8\", or the groups of a bar, as in \"3+2/4\"";
}

/// What to write where a value is not of the kind that is wanted.
std::string advice_of_kind(JsonValue::Kind wanted, JsonValue const& value)
{
    switch (wanted) {
    case JsonValue::Kind::number:
        return advice_of_number(value);
    case JsonValue::Kind::string:
        return value.kind == JsonValue::Kind::number ? fmt::format("write it in double quotes: \"{}\"", value.text)
                                                     : "write one text in double quotes";
    case JsonValue::Kind::boolean:
        return "write true or false, without quotes";
    case JsonValue::Kind::array:
        return "write it in brackets: [ ]";
    case JsonValue::Kind::object:
        return "write it in braces: { }";
    case JsonValue::Kind::null:
        break;
    }
    return "take it out";
}

} // namespace

void ReadContext::add(Finding finding)
{
    finding.what = shortened(std::move(finding.what));
    if (m_findings.size() < kMostFindings)
        m_findings.push_back(std::move(finding));
    else if (m_findings.size() == kMostFindings)
        m_findings.push_back({Severity::error, "too-big", finding.at, std::nullopt,
                              fmt::format("there are more than {} findings; the others are not shown", kMostFindings),
                              "fix the first ones"});
}

void ReadContext::error(std::string_view code, SourcePosition at, std::string what, std::string fix)
{
    add({Severity::error, std::string(code), at, std::nullopt, std::move(what), std::move(fix)});
}

void ReadContext::warning(std::string_view code, SourcePosition at, std::string what, std::string fix)
{
    add({Severity::warning, std::string(code), at, std::nullopt, std::move(what), std::move(fix)});
}

void ReadContext::add_all(std::vector<Finding> findings)
{
    for (Finding& finding : findings)
        add(std::move(finding));
}

std::vector<Finding> ReadContext::take_findings()
{
    std::ranges::stable_sort(m_findings, {}, &Finding::at);
    // What two sections share is read twice.
    std::set<std::tuple<SourcePosition, std::string, std::string>> said;
    std::erase_if(m_findings,
                  [&](Finding const& finding) { return !said.emplace(finding.at, finding.code, finding.what).second; });
    return std::move(m_findings);
}

std::vector<SourcePosition> ReadContext::places_of(JsonValue const& string)
{
    if (m_line_starts.empty()) {
        m_line_starts.push_back(0);
        for (std::size_t end = m_text.find('\n'); end != std::string_view::npos; end = m_text.find('\n', end + 1))
            m_line_starts.push_back(end + 1);
    }
    std::vector<SourcePosition> places;
    // Line 0 is no place: one less is more than any text has.
    std::size_t const line = static_cast<std::size_t>(string.at.line) - 1;
    if (line < m_line_starts.size())
        places = string_places(m_text, m_line_starts[line] + static_cast<std::size_t>(string.at.column) - 1, string.at);
    // A string that was put into the document later is not in the text.
    if (places.size() != string.text.size() + 1)
        places.assign(string.text.size() + 1, string.at);
    return places;
}

std::string ReadContext::suggestion(std::string_view word, std::span<std::string_view const> candidates,
                                    std::string otherwise)
{
    if (++m_suggestions > kMostSuggestions)
        return otherwise;
    auto const near = nearest_word(word, candidates);
    return near ? fmt::format("did you mean '{}'?", *near) : otherwise;
}

std::optional<FrameRate> ReadContext::rate()
{
    if (!m_rate && !m_rate_asked && m_options.footage_rate && !m_footage.empty())
        m_rate = m_options.footage_rate(m_footage);
    m_rate_asked = true;
    return m_rate;
}

std::optional<Sourced<Time>> ReadContext::time(JsonValue const& value, Sign sign, std::string_view before,
                                               std::string_view after)
{
    if (value.kind != JsonValue::Kind::string && value.kind != JsonValue::Kind::number) {
        error("wrong-type", value.at, fmt::format("a time is wanted here, and this is {}", kind_name(value.kind)),
              "write it as \"0:14.2\"");
        return std::nullopt;
    }
    bool const frames = has_frames(value.text);
    Result<Time> const time = parse_time(value.text, frames ? rate() : std::nullopt);
    if (!time) {
        std::string const& why = time.error().what;
        std::size_t const advice = why.find("; ");
        std::string const otherwise = frames && !m_rate
                                          ? "write minutes, seconds and decimals, or let \"made_for\" say the \"rate\""
                                      : advice == std::string::npos ? ""
                                                                    : why.substr(advice + 2);
        error("bad-time", value.at, why.substr(0, advice),
              beside(advice_of_time(value.text, otherwise), before, after));
        return std::nullopt;
    }
    if (*time < Time{0} && sign == Sign::positive) {
        error("bad-time", value.at, fmt::format("'{}' lies before the film", value.text),
              "count from the film's start");
        return std::nullopt;
    }
    return Sourced<Time>{*time, value.at};
}

bool ReadContext::count_cues(std::size_t cues, SourcePosition at)
{
    bool const before = m_cues <= static_cast<std::size_t>(kMostCues);
    m_cues += cues;
    bool const after = m_cues <= static_cast<std::size_t>(kMostCues);
    if (before && !after)
        error("too-big", at, fmt::format("the lesson has more than {} parts, cues, pins and bars", kMostCues),
              "split it into several cue files");
    return after;
}

std::string_view kind_name(JsonValue::Kind kind)
{
    switch (kind) {
    case JsonValue::Kind::null:
        return "null";
    case JsonValue::Kind::boolean:
        return "true or false";
    case JsonValue::Kind::number:
        return "a number";
    case JsonValue::Kind::string:
        return "a text";
    case JsonValue::Kind::array:
        return "a list";
    case JsonValue::Kind::object:
        return "an object";
    }
    return "";
}

ObjectReader::ObjectReader(ReadContext& context, JsonValue const& object, std::string_view what)
    : m_context(context), m_object(object), m_what(what)
{
    if (object.kind != JsonValue::Kind::object)
        context.error("wrong-type", object.at,
                      fmt::format("{} must be an object, and this is {}", what, kind_name(object.kind)),
                      "write it in braces: { \"key\": value }");
}

JsonValue const* ObjectReader::take(std::string_view key)
{
    m_known.push_back(key);
    return m_object.find(key);
}

JsonValue const* ObjectReader::take(std::string_view key, JsonValue::Kind kind)
{
    JsonValue const* value = take(key);
    if (!value || value->kind == kind)
        return value;
    m_context.error("wrong-type", value->at,
                    fmt::format("\"{}\" must be {}, and this is {}", key, kind_name(kind), kind_name(value->kind)),
                    advice_of_kind(kind, *value));
    return nullptr;
}

std::optional<Sourced<std::string>> ObjectReader::string(std::string_view key)
{
    JsonValue const* value = take(key, JsonValue::Kind::string);
    if (!value)
        return std::nullopt;
    if (value->text.size() <= kLongestName)
        return Sourced<std::string>{value->text, value->at};
    m_context.error("too-big", value->at, fmt::format("\"{}\" has more than {} characters", key, kLongestName),
                    "shorten it");
    return std::nullopt;
}

std::optional<Sourced<bool>> ObjectReader::boolean(std::string_view key)
{
    JsonValue const* value = take(key, JsonValue::Kind::boolean);
    return value ? std::optional{Sourced<bool>{value->boolean, value->at}} : std::nullopt;
}

std::optional<Sourced<int>> ObjectReader::integer(std::string_view key, int least, int most)
{
    JsonValue const* value = take(key, JsonValue::Kind::number);
    if (!value)
        return std::nullopt;
    int number = 0;
    auto const end = value->text.data() + value->text.size();
    auto const [stop, error] = std::from_chars(value->text.data(), end, number);
    if (error == std::errc{} && stop == end && number >= least && number <= most)
        return Sourced<int>{number, value->at};
    m_context.error("bad-value", value->at, fmt::format("\"{}\" is {}", key, value->text),
                    fmt::format("write a whole number from {} to {}", least, most));
    return std::nullopt;
}

std::optional<Sourced<Time>> ObjectReader::time(std::string_view key)
{
    JsonValue const* value = take(key);
    return value ? m_context.time(*value) : std::nullopt;
}

std::optional<Sourced<overlay::Meter>> ObjectReader::meter(std::string_view key)
{
    JsonValue const* value = take(key);
    if (!value)
        return std::nullopt;
    if (value->kind != JsonValue::Kind::string) {
        m_context.error("wrong-type", value->at,
                        fmt::format("\"{}\" must be a text, and this is {}", key, kind_name(value->kind)),
                        advice_of_meter(*value));
        return std::nullopt;
    }
    auto const meter = overlay::Meter::parse(value->text);
    if (meter)
        return Sourced<overlay::Meter>{*meter, value->at};
    m_context.error("bad-value", value->at, meter.error().what, advice_of_meter(*value));
    return std::nullopt;
}

std::optional<Sourced<Tempo>> ObjectReader::tempo(std::string_view key)
{
    JsonValue const* value = take(key, JsonValue::Kind::number);
    if (!value)
        return std::nullopt;
    auto const tempo = thousandths(value->text);
    if (tempo && *tempo >= 1000 && *tempo <= 1'000'000)
        return Sourced<Tempo>{{*tempo}, value->at};
    m_context.error("bad-value", value->at, fmt::format("the tempo is {}", value->text),
                    "write beats a minute, from 1 to 1000, with at most three decimals");
    return std::nullopt;
}

std::optional<std::size_t> one_of(ReadContext& context, JsonValue const& value, std::string_view key,
                                  std::vector<std::string_view> const& words)
{
    auto const found = std::ranges::find(words, value.text);
    if (found != words.end())
        return static_cast<std::size_t>(found - words.begin());
    std::string const all = fmt::format("write one of {}", fmt::join(words, ", "));
    context.error("bad-value", value.at, fmt::format("\"{}\" cannot be '{}'", key, value.text),
                  context.suggestion(value.text, words, all));
    return std::nullopt;
}

std::optional<Sourced<Placement>> ObjectReader::placement(std::string_view key)
{
    JsonValue const* value = take(key, JsonValue::Kind::string);
    if (!value)
        return std::nullopt;
    auto const index = one_of(m_context, *value, key,
                              {"auto", "top-left", "top-right", "bottom-left", "bottom-right", "compact-top-left",
                               "compact-top-right", "compact-bottom-left", "compact-bottom-right"});
    return index ? std::optional{Sourced<Placement>{static_cast<Placement>(*index), value->at}} : std::nullopt;
}

std::optional<Level> ObjectReader::level(std::string_view key)
{
    JsonValue const* value = take(key, JsonValue::Kind::string);
    if (!value)
        return std::nullopt;
    auto const index = one_of(m_context, *value, key, {"full", "easy"});
    return index ? std::optional{static_cast<Level>(*index)} : std::nullopt;
}

void ObjectReader::missing(std::string_view key, std::string fix)
{
    if (m_object.kind == JsonValue::Kind::object)
        m_missing.push_back({key, std::move(fix)});
}

bool ObjectReader::is_known(std::string_view key) const
{
    return m_all_known || std::ranges::find(m_known, key) != m_known.end();
}

/// Known keys that the object does not have yet.
std::vector<std::string_view> ObjectReader::unused_keys() const
{
    std::vector<std::string_view> unused;
    std::ranges::copy_if(m_known, std::back_inserter(unused), [&](std::string_view known) { return !has(known); });
    return unused;
}

JsonValue::Member const* ObjectReader::stand_in(std::string_view key) const
{
    auto const unused = unused_keys();
    auto const member = std::ranges::find_if(m_object.members, [&](JsonValue::Member const& candidate) {
        return !is_known(candidate.key) && meant_key(candidate.key, unused) == key;
    });
    return member == m_object.members.end() ? nullptr : &*member;
}

void ObjectReader::report_missing(Missing const& missing)
{
    if (auto const* const member = stand_in(missing.key)) {
        m_told.insert(member);
        return m_context.error("missing-key", member->at, fmt::format("{} has no key \"{}\"", m_what, member->key),
                               fmt::format("write \"{}\"", missing.key));
    }
    m_context.error("missing-key", m_object.at, fmt::format("{} has no \"{}\"", m_what, missing.key), missing.fix);
}

void ObjectReader::report_unknown(JsonValue::Member const& member)
{
    auto const unused = unused_keys();
    std::string fix;
    if (auto const meant = meant_key(member.key, unused))
        fix = fmt::format("write \"{}\"", *meant);
    else if (auto const place = place_of_key(member.key); !place.empty())
        fix = fmt::format("write it {}", place);
    else
        fix = m_context.suggestion(member.key, unused, "take it out, or write a remark into \"note\"");
    m_context.warning("unknown-key", member.at, fmt::format("{} has no key \"{}\"", m_what, member.key),
                      std::move(fix));
}

void ObjectReader::finish()
{
    for (Missing const& missing : m_missing)
        report_missing(missing);
    std::map<std::string_view, SourcePosition> seen;
    for (auto const& member : m_object.members) {
        auto const [first, is_new] = seen.emplace(member.key, member.at);
        if (!is_new)
            m_context.error("duplicate-key", member.at,
                            fmt::format("\"{}\" stands twice; line {} says it first", member.key, first->second.line),
                            "keep one of them");
        else if (!is_known(member.key) && !m_told.contains(&member))
            report_unknown(member);
    }
}

std::vector<JsonValue::Member const*> table_entries(JsonValue const& object)
{
    std::set<std::string_view> seen{"note"};
    std::vector<JsonValue::Member const*> entries;
    for (auto const& member : object.members)
        if (seen.insert(member.key).second)
            entries.push_back(&member);
    return entries;
}

} // namespace tabard::pipeline
