#include "pipeline/desk/view/repairs.h"

#include <algorithm>
#include <array>
#include <string_view>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

using Kind = JsonValue::Kind;

/// What stands between `before` and `after`, where a text begins with the one and ends with the other.
std::optional<std::string_view> between(std::string_view text, std::string_view before, std::string_view after)
{
    if (text.size() <= before.size() + after.size() || !text.starts_with(before) || !text.ends_with(after))
        return std::nullopt;
    text.remove_prefix(before.size());
    text.remove_suffix(after.size());
    return text;
}

/// The word that the advice names, and nothing beside it.
std::optional<std::string_view> named_word(std::string_view fix)
{
    for (auto const& [before, after] :
         {std::pair{"did you mean '", "'?"}, {"write \"", "\""}, {"write it in double quotes: \"", "\""}})
        if (auto const word = between(fix, before, after); word && word->find('"') == word->npos)
            return word;
    return std::nullopt;
}

std::optional<std::string_view> named_number(std::string_view fix)
{
    for (char const* const before : {"write it without quotes: ", "write the number alone, without quotes: "})
        if (auto const number = between(fix, before, ""))
            return number;
    return std::nullopt;
}

JsonValue number_as_written(std::string_view digits)
{
    JsonValue number = JsonValue::number(0);
    number.text = digits;
    return number;
}

/// Another key for the same value, at its place.
Repair renamed(DocumentPlace const& place, std::string_view key)
{
    return {fmt::format("Write \"{}\"", key), {{place.path, std::nullopt, std::string(key)}}};
}

Repair set_to(DocumentPath path, JsonValue value, std::string words)
{
    return {std::move(words), {{std::move(path), std::move(value)}}};
}

/// "write "placement": "top-right" in this part (tabard check --place ...)", as check says it of what hides too much.
std::optional<Repair> placed_elsewhere(Finding const& finding, DocumentPlace const& place)
{
    constexpr std::string_view kWrite = "write \"placement\": \"";
    std::string_view fix = finding.fix;
    if (!fix.starts_with(kWrite))
        return std::nullopt;
    fix.remove_prefix(kWrite.size());
    std::string_view const corner = fix.substr(0, fix.find('"'));
    fix.remove_prefix(std::min(fix.size(), corner.size() + 1));
    bool const own = fix.starts_with(" in this part");
    if (!own && !fix.starts_with(" in the cue file"))
        return std::nullopt;
    if (own && !place.part)
        return std::nullopt;
    DocumentPath path;
    if (own)
        path = {std::string{"sections"}, *place.part};
    path.emplace_back(std::string{"placement"});
    return set_to(std::move(path), JsonValue::string(std::string(corner)),
                  fmt::format("Write \"placement\": \"{}\"", corner));
}

std::optional<Repair> of_acceptance(Finding const& finding, DocumentPlace const& place)
{
    if (place.value->kind != Kind::object || !place.exact)
        return std::nullopt;
    if (finding.fix.ends_with("delete this entry of \"accept\""))
        return finding.fix.starts_with("delete")
                   ? std::optional(Repair{"Delete this acceptance", {{place.path, std::nullopt}}})
                   : std::nullopt; // the other half is not certain
    auto const code = named_word(finding.fix);
    if (!code || !finding.fix.starts_with("did you mean"))
        return std::nullopt;
    DocumentPath path = place.path;
    path.emplace_back(std::string{"code"});
    return set_to(std::move(path), JsonValue::string(std::string(*code)), fmt::format("Write \"{}\"", *code));
}

/// What a path leads to; where a key stands twice that is the first, as for whoever edits.
JsonValue const* found_by(JsonValue const& document, DocumentPath const& path)
{
    JsonValue const* value = &document;
    for (auto const& step : path) {
        if (auto const* const key = std::get_if<std::string>(&step))
            value = value->find(*key);
        else
            value = &value->items[std::get<std::size_t>(step)];
    }
    return value;
}

bool is_taken(JsonValue const& document, DocumentPath path, std::string_view key)
{
    path.pop_back();
    return found_by(document, path)->find(key) != nullptr;
}

std::optional<Repair> of_key(Finding const& finding, DocumentPlace const& place, JsonValue const& document)
{
    auto const key = named_word(finding.fix);
    if (!key || !place.exact || !place.at_key || is_taken(document, place.path, *key))
        return std::nullopt;
    return renamed(place, *key);
}

/// A value that is one word or number, and not as it should be.
std::optional<Repair> of_value(Finding const& finding, DocumentPlace const& place)
{
    bool const scalar = place.value->kind == Kind::string || place.value->kind == Kind::number;
    if (!scalar || !place.exact || place.at_key || place.path.empty())
        return std::nullopt;
    if (auto const word = named_word(finding.fix))
        return set_to(place.path, JsonValue::string(std::string(*word)), fmt::format("Write \"{}\"", *word));
    if (auto const number = named_number(finding.fix))
        return set_to(place.path, number_as_written(*number), fmt::format("Write {}", *number));
    return std::nullopt;
}

} // namespace

std::vector<Repair> repairs_of(Finding const& finding, DocumentPlace const& place, JsonValue const& document)
{
    constexpr std::array<std::string_view, 5> kOfValues{"bad-value", "bad-time", "wrong-type", "unknown-strum",
                                                        "bad-strum"};
    if (found_by(document, place.path) != place.value)
        return {}; // a key that stands twice
    std::string_view const code = finding.code;
    std::optional<Repair> repair;
    if (code == "stale-accept")
        repair = of_acceptance(finding, place);
    else if (code == "covers-face" || code == "covers-hands")
        repair = placed_elsewhere(finding, place);
    else if (code == "unknown-key" || code == "missing-key")
        repair = of_key(finding, place, document);
    else if (std::ranges::find(kOfValues, code) != kOfValues.end())
        repair = of_value(finding, place);
    return repair ? std::vector{*std::move(repair)} : std::vector<Repair>{};
}

} // namespace tabard::pipeline
