#include "pipeline/desk/desk.h"

#include <algorithm>
#include <charconv>
#include <optional>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

using Kind = JsonValue::Kind;

Error wrong(std::string what) { return {ErrorKind::invalid_input, std::move(what)}; }

/// "sections, 2, from": a path as people read it.
std::string in_words(JsonValue const& path)
{
    std::string words;
    for (JsonValue const& step : path.items)
        words += (words.empty() ? "" : ", ") + step.text;
    return words;
}

Error no_place(JsonValue const& path)
{
    return wrong(fmt::format("the file has no place '{}'; load the page again", in_words(path)));
}

/// None where the step is no whole number.
std::optional<std::size_t> index_in(JsonValue const& step)
{
    std::size_t index = 0;
    char const* const end = step.text.data() + step.text.size();
    auto const [stop, failed] = std::from_chars(step.text.data(), end, index);
    if (step.kind != Kind::number || failed != std::errc{} || stop != end)
        return std::nullopt;
    return index;
}

/// Null where it is not there.
JsonValue* child_of(JsonValue& parent, JsonValue const& step)
{
    if (parent.kind == Kind::object && step.kind == Kind::string)
        return parent.find(step.text);
    auto const index = index_in(step);
    if (parent.kind != Kind::array || !index || *index >= parent.items.size())
        return nullptr;
    return &parent.items[*index];
}

/// What holds the place that a path names.
Result<JsonValue*> holder_of(JsonValue& document, JsonValue const& path)
{
    JsonValue* at = &document;
    for (std::size_t i = 0; i + 1 < path.items.size(); ++i) {
        at = child_of(*at, path.items[i]);
        if (at == nullptr)
            return no_place(path);
    }
    return at;
}

/// The same for what is set: objects on the way that are not there are made.
Result<JsonValue*> holder_made(JsonValue& document, JsonValue const& path)
{
    JsonValue* at = &document;
    for (std::size_t i = 0; i + 1 < path.items.size(); ++i) {
        JsonValue const& step = path.items[i];
        bool const named = step.kind == Kind::string && path.items[i + 1].kind == Kind::string;
        if (named && at->kind == Kind::object && at->find(step.text) == nullptr)
            at->set(step.text, JsonValue::object({}));
        at = child_of(*at, step);
        if (at == nullptr)
            return no_place(path);
    }
    return at;
}

/// A value of another text, as if it had been written where `old` stands: so what it has of it keeps its bytes. Null:
/// it is written nowhere.
JsonValue placed(JsonValue value, JsonValue const* old)
{
    bool const like = old != nullptr && old->kind == value.kind;
    value.at = like ? old->at : SourcePosition{};
    value.end = like ? old->end : SourcePosition{};
    for (JsonValue::Member& member : value.members) {
        member.at = {};
        member.value = placed(std::move(member.value), like ? old->find(member.key) : nullptr);
    }
    for (std::size_t i = 0; i < value.items.size(); ++i)
        value.items[i] = placed(std::move(value.items[i]), like && i < old->items.size() ? &old->items[i] : nullptr);
    return value;
}

Result<void> set(JsonValue& holder, JsonValue const& path, JsonValue const& value)
{
    JsonValue const& step = path.items.back();
    if (holder.kind == Kind::object && step.kind == Kind::string) {
        holder.set(step.text, placed(value, holder.find(step.text)));
        return {};
    }
    JsonValue* const old = child_of(holder, step);
    if (old == nullptr)
        return no_place(path);
    *old = placed(value, old);
    return {};
}

Result<void> remove(JsonValue& holder, JsonValue const& path)
{
    JsonValue const& step = path.items.back();
    if (child_of(holder, step) == nullptr)
        return no_place(path);
    if (holder.kind == Kind::object)
        holder.erase(step.text);
    else
        holder.items.erase(holder.items.begin() + static_cast<std::ptrdiff_t>(*index_in(step)));
    return {};
}

/// Before the item that has the place now; at the end where the place is one past the last.
Result<void> insert(JsonValue& holder, JsonValue const& path, JsonValue const& value)
{
    auto const index = index_in(path.items.back());
    if (holder.kind != Kind::array || !index || *index > holder.items.size())
        return no_place(path);
    holder.items.insert(holder.items.begin() + static_cast<std::ptrdiff_t>(*index), placed(value, nullptr));
    return {};
}

Result<void> name_anew(JsonValue& holder, JsonValue const& path, std::string const& name)
{
    std::string const& old = path.items.back().text;
    if (name.empty() || name == old || holder.find(name) != nullptr)
        return wrong(fmt::format("'{}' cannot become '{}'; write a name that nothing else has", old, name));
    std::ranges::find(holder.members, old, &JsonValue::Member::key)->key = name;
    return {};
}

/// To another place of its list, or to another name in its object.
Result<void> move(JsonValue& holder, JsonValue const& path, JsonValue const& target)
{
    JsonValue const& step = path.items.back();
    if (child_of(holder, step) == nullptr)
        return no_place(path);
    if (holder.kind == Kind::object && target.kind == Kind::string)
        return name_anew(holder, path, target.text);
    auto const to = index_in(target);
    if (holder.kind != Kind::array || !to || *to >= holder.items.size())
        return no_place(path);
    auto const at = [&](std::size_t index) { return holder.items.begin() + static_cast<std::ptrdiff_t>(index); };
    std::size_t const from = *index_in(step);
    if (from < *to)
        std::rotate(at(from), at(from + 1), at(*to + 1));
    else
        std::rotate(at(*to), at(from), at(from + 1));
    return {};
}

Result<void> apply(JsonValue& document, JsonValue const& edit)
{
    JsonValue const* const path = edit.find("path");
    bool const named = path != nullptr && path->kind == Kind::array && !path->items.empty() &&
                       std::ranges::all_of(path->items, [](JsonValue const& step) {
                           return step.kind == Kind::string || step.kind == Kind::number;
                       });
    if (!named)
        return wrong("an edit names no place");
    JsonValue const* const value = edit.find("value");
    JsonValue const* const removed = edit.find("remove");
    JsonValue const* const inserted = edit.find("insert");
    JsonValue const* const moved = edit.find("move");
    if ((value != nullptr) + (removed != nullptr) + (inserted != nullptr) + (moved != nullptr) != 1)
        return wrong("an edit sets, removes, inserts or moves");
    if (removed != nullptr && !removed->boolean)
        return wrong("what an edit removes is said by true");
    TRY_ASSIGN(JsonValue * holder, value != nullptr ? holder_made(document, *path) : holder_of(document, *path));
    if (value != nullptr)
        return set(*holder, *path, *value);
    if (moved != nullptr)
        return move(*holder, *path, *moved);
    return removed != nullptr ? remove(*holder, *path) : insert(*holder, *path, *inserted);
}

} // namespace

Result<void> apply_edits(JsonValue& document, JsonValue const& edits)
{
    if (edits.kind != Kind::array)
        return wrong("edits are a list");
    for (JsonValue const& edit : edits.items)
        TRY_VOID(apply(document, edit));
    return {};
}

} // namespace tabard::pipeline
