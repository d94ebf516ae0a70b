#include "pipeline/cues/same_again.h"

#include <algorithm>
#include <iterator>
#include <set>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kBars = 3;
static_assert(kSameAgain[kBars] == "bars");

JsonValue const* text_of(JsonValue const& section, std::string_view key)
{
    JsonValue const* const value = section.find(key);
    return value && value->kind == JsonValue::Kind::string ? value : nullptr;
}

std::size_t bytes_of(JsonValue const& value)
{
    std::size_t bytes = sizeof(JsonValue) + value.text.size();
    for (JsonValue const& item : value.items)
        bytes += bytes_of(item);
    for (JsonValue::Member const& member : value.members)
        bytes += bytes_of(member.value);
    return bytes;
}

bool equal(JsonValue const* a, JsonValue const* b) { return a == b || (a && b && *a == *b); }

} // namespace

SameAgain::SameAgain(JsonValue const& list)
{
    for (JsonValue const& json : list.items) {
        Part part{&json, "", text_of(json, "as"), {}, false};
        JsonValue const* const name = text_of(json, "name");
        if (name || part.as)
            part.name = (name ? name : part.as)->text;
        for (std::size_t key = 0; key < kSameAgain.size(); ++key)
            part.values[key] = json.find(kSameAgain[key]);
        enter(part);
    }
    for (std::size_t index = 0; index < m_parts.size(); ++index)
        settle(index);
    refuse_twins();
}

void SameAgain::enter(Part const& part)
{
    Namesakes& namesakes = m_by_name[part.name];
    std::size_t const index = m_parts.size();
    namesakes.all.push_back(index);
    namesakes.named = namesakes.named || part.json->find("name");
    namesakes.all_as = namesakes.all_as && part.as;
    if (part.as && part.as->text != part.name && namesakes.as.size() < 2)
        namesakes.as.push_back(index);
    if (!part.as && part.values[kBars] && !namesakes.written)
        namesakes.written = index;
    m_parts.push_back(part);
}

/// Follows a section to the one that it is as, and that to the next, then hands down what is said.
void SameAgain::settle(std::size_t index)
{
    std::vector<std::size_t> chain{index};
    std::set<std::size_t> seen{index};
    while (!m_parts[chain.back()].settled && m_parts[chain.back()].as) {
        auto const source = source_of(chain.back());
        if (!source)
            break;
        if (!seen.insert(*source).second) {
            refuse(chain.back(),
                   fmt::format("'{}' and '{}' are as one another, and none has bars", m_parts[chain.back()].name,
                               m_parts[*source].name),
                   "write \"bars\" in one of them");
            break;
        }
        chain.push_back(*source);
    }
    m_parts[chain.back()].settled = true;
    for (std::size_t i = chain.size() - 1; i > 0; --i) {
        Part const& from = m_parts[chain[i]];
        Part& to = m_parts[chain[i - 1]];
        for (std::size_t key = 0; key < kSameAgain.size(); ++key)
            to.values[key] = to.values[key] ? to.values[key] : from.values[key];
        to.settled = true;
    }
}

/// The first section of that name which has bars of its own, else the first that is as another.
std::optional<std::size_t> SameAgain::source_of(std::size_t index)
{
    std::string const name = m_parts[index].as->text;
    auto const found = m_by_name.find(name);
    if (found == m_by_name.end() || !found->second.named)
        return refuse(index, fmt::format("no part is called '{}'", name), "");
    Namesakes const& named = found->second;
    if (named.written)
        return named.written;
    for (std::size_t const other : named.as)
        if (other != index && m_parts[other].as->text != name)
            return other;
    if (named.all_as)
        return refuse(index, fmt::format("'{}' is as itself", name), "name the part that has the \"bars\"");
    return refuse(index, fmt::format("part '{}' has no bars to reuse", name), "write its \"bars\"");
}

std::optional<std::size_t> SameAgain::refuse(std::size_t index, std::string what, std::string fix)
{
    JsonValue const& as = *m_parts[index].as;
    m_problems.push_back({as.at, std::move(what), std::move(fix), as.text});
    return std::nullopt;
}

/// The tempo apart: listening finds one for each section.
bool SameAgain::plays_the_same(std::size_t a, std::size_t b) const
{
    for (std::size_t key = 0; key < kSameAgain.size(); ++key)
        if (kSameAgain[key] != "tempo" && !equal(m_parts[a].values[key], m_parts[b].values[key]))
            return false;
    return true;
}

/// Two sections of a name that do not say the same; who only changes what it reuses is no twin.
std::optional<std::pair<std::size_t, std::size_t>> SameAgain::twins(std::string_view name) const
{
    auto const found = m_by_name.find(name);
    std::optional<std::size_t> first;
    for (std::size_t const i : found == m_by_name.end() ? std::vector<std::size_t>{} : found->second.all) {
        if (!m_parts[i].values[kBars] || (m_parts[i].as && m_parts[i].as->text == name))
            continue;
        if (first && !plays_the_same(i, *first))
            return std::pair{*first, i};
        first = first ? first : i;
    }
    return std::nullopt;
}

void SameAgain::refuse_twins()
{
    std::map<std::string_view, std::optional<std::pair<std::size_t, std::size_t>>> known;
    for (std::size_t index = 0; index < m_parts.size(); ++index) {
        if (!m_parts[index].as)
            continue;
        std::string_view const name = m_parts[index].as->text;
        auto const [entry, is_new] = known.try_emplace(name);
        if (is_new)
            entry->second = twins(name);
        if (auto const& pair = entry->second)
            refuse(index,
                   fmt::format("two parts are called '{}' and differ, in lines {} and {}", name,
                               m_parts[pair->first].json->at.line, m_parts[pair->second].json->at.line),
                   "give one of them another name");
    }
}

JsonValue SameAgain::filled(std::size_t index) const
{
    Part const& part = m_parts[index];
    JsonValue section = *part.json;
    for (std::size_t key = 0; key < kSameAgain.size(); ++key)
        if (part.values[key] && !section.find(kSameAgain[key]))
            section.members.push_back({std::string(kSameAgain[key]), *part.values[key], part.values[key]->at});
    return section;
}

JsonValue SameAgain::written_out(JsonValue section, std::size_t index) const
{
    JsonValue const* const as = m_parts[index].as;
    if (!as)
        return section;
    if (!section.find("name"))
        section.members.insert(section.members.begin(), {"name", *as, as->at});
    auto place = std::ranges::find(section.members, "as", &JsonValue::Member::key);
    place = place == section.members.end() ? place : section.members.erase(place);
    for (std::size_t key = 0; key < kSameAgain.size(); ++key)
        if (JsonValue const* const value = m_parts[index].values[key]; value && !section.find(kSameAgain[key]))
            place = std::next(section.members.insert(place, {std::string(kSameAgain[key]), *value, value->at}));
    return section;
}

std::size_t SameAgain::reused_bytes(std::size_t index) const
{
    Part const& part = m_parts[index];
    std::size_t bytes = 0;
    for (std::size_t key = 0; key < kSameAgain.size(); ++key)
        if (part.values[key] && part.values[key] != part.json->find(kSameAgain[key]))
            bytes += bytes_of(*part.values[key]);
    return bytes;
}

bool SameAgain::same(std::size_t index, SameAgain const& other, std::size_t other_index) const
{
    return std::ranges::equal(m_parts[index].values, other.m_parts[other_index].values,
                              [](JsonValue const* a, JsonValue const* b) { return equal(a, b); });
}

std::vector<std::string_view> SameAgain::names() const
{
    std::vector<std::string_view> names;
    for (auto const& [name, parts] : m_by_name)
        if (std::ranges::any_of(parts.all, [&](std::size_t i) { return m_parts[i].values[kBars] != nullptr; }))
            names.push_back(name);
    return names;
}

} // namespace tabard::pipeline
