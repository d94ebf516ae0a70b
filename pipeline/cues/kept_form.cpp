#include "overlay/base/characters.h"
#include "pipeline/cues/json_text.h"
#include "pipeline/cues/writer.h"

#include <algorithm>
#include <functional>
#include <map>
#include <optional>
#include <utility>

namespace tabard::pipeline {
namespace {

/// A text and the tree that was read from it: which bytes each value takes.
class WrittenForm {
public:
    WrittenForm(std::string_view text, JsonValue const& root) : m_text(text)
    {
        m_line_starts.push_back(0);
        for (std::size_t end = text.find('\n'); end != std::string_view::npos; end = text.find('\n', end + 1))
            m_line_starts.push_back(end + 1);
        enter(root);
    }

    JsonValue const* value_at(SourcePosition at) const
    {
        auto const found = m_values.find(at);
        return found == m_values.end() ? nullptr : found->second;
    }

    std::size_t begin(SourcePosition at) const
    {
        return m_line_starts[static_cast<std::size_t>(at.line) - 1] + static_cast<std::size_t>(at.column) - 1;
    }
    std::size_t end(JsonValue const& value) const
    {
        if (value.kind == JsonValue::Kind::array || value.kind == JsonValue::Kind::object)
            return begin(value.end) + 1;
        return scalar_end(begin(value.at));
    }
    std::size_t scalar_end(std::size_t at) const
    {
        if (m_text[at] != '"')
            return std::min(m_text.find_first_of(",]} \t\r\n", at), m_text.size());
        for (++at; m_text[at] != '"'; ++at)
            at += m_text[at] == '\\' ? 1 : 0;
        return at + 1;
    }
    std::string_view slice(std::size_t from, std::size_t to) const { return m_text.substr(from, to - from); }
    /// The white space that stands before a place.
    std::string_view space_before(std::size_t at) const
    {
        auto const last = m_text.substr(0, at).find_last_not_of(" \t\r\n");
        return slice(last == std::string_view::npos ? 0 : last + 1, at);
    }
    std::size_t size() const { return m_text.size(); }

private:
    void enter(JsonValue const& value)
    {
        m_values.emplace(value.at, &value);
        for (JsonValue const& item : value.items)
            enter(item);
        for (JsonValue::Member const& member : value.members)
            enter(member.value);
    }

    std::string_view m_text;
    std::vector<std::size_t> m_line_starts;
    std::map<SourcePosition, JsonValue const*> m_values;
};

bool is_container(JsonValue const& value)
{
    return value.kind == JsonValue::Kind::array || value.kind == JsonValue::Kind::object;
}

/// Writes a changed tree with the bytes of the old text wherever it says the same.
class FormKeeper {
public:
    explicit FormKeeper(WrittenForm const& form) : m_form(form) {}

    void append(JsonValue const& value, std::size_t indent)
    {
        JsonValue const* const old = m_form.value_at(value.at);
        if (old && *old == value)
            m_out += m_form.slice(m_form.begin(old->at), m_form.end(*old));
        else if (old && old->kind == value.kind && is_container(value) && !is_empty(*old) && !is_empty(value))
            append_changed(value, *old);
        else
            m_out += value_text(value, indent, column());
    }

    std::string take() { return std::move(m_out); }

private:
    static bool is_empty(JsonValue const& value) { return value.items.empty() && value.members.empty(); }

    /// Looks at each byte once: a file may be one line.
    std::size_t column()
    {
        auto const line = std::string_view(m_out).substr(m_seen).rfind('\n');
        m_line = line == std::string_view::npos ? m_line : m_seen + line + 1;
        m_seen = m_out.size();
        return m_seen - m_line;
    }

    /// What stands between the bracket or comma before a thing and the thing.
    std::string_view lead(SourcePosition at) const { return m_form.space_before(m_form.begin(at)); }

    void append_changed(JsonValue const& value, JsonValue const& old)
    {
        bool const array = value.kind == JsonValue::Kind::array;
        std::size_t const indent = column() + 1;
        std::string_view const first = lead(array ? old.items.front().at : old.members.front().at);
        bool const lines = first.find('\n') != std::string_view::npos;
        m_out += array ? '[' : '{';
        bool is_first = true;
        auto const begin_next = [&](std::string_view space) {
            m_out += is_first ? "" : ",";
            m_out += is_first ? first : space;
            is_first = false;
        };
        for (JsonValue const& item : value.items) {
            begin_next(is_later_item(item, old) ? lead(item.at) : between(old.items, first));
            append(item, lines ? first.size() - first.rfind('\n') - 1 : indent);
        }
        auto last = old.members.begin();
        for (JsonValue::Member const& member : value.members) {
            auto const known = std::ranges::find(old.members, member.key, &JsonValue::Member::key);
            bool const moved = known < last; // it stands behind what it stood before
            if (known == old.members.end() || moved) {
                append_new(member, begin_next, lines ? std::string(first) : "\n" + std::string(indent, ' '));
                continue;
            }
            last = known;
            append_member(*known, member.value, begin_next,
                          known == old.members.begin() ? between(old.members, first) : lead(known->at), indent);
        }
        m_out += m_form.space_before(m_form.end(old) - 1);
        m_out += array ? ']' : '}';
    }

    bool is_later_item(JsonValue const& item, JsonValue const& list) const
    {
        JsonValue const* const old = m_form.value_at(item.at);
        std::less<JsonValue const*> const before;
        return old && before(list.items.data(), old) && before(old, list.items.data() + list.items.size());
    }

    /// The space before a thing that has none of its own: as before the second one.
    template <class Things>
    std::string_view between(Things const& old, std::string_view first) const
    {
        return old.size() > 1 ? lead(old[1].at) : first.empty() ? std::string_view(" ") : first;
    }

    template <class Begin>
    void append_member(JsonValue::Member const& old, JsonValue const& value, Begin const& begin_next,
                       std::string_view space, std::size_t indent)
    {
        begin_next(space);
        m_out += m_form.slice(m_form.begin(old.at), m_form.begin(old.value.at));
        append(value, indent);
    }

    /// What is long gets a line of its own.
    template <class Begin>
    void append_new(JsonValue::Member const& member, Begin const& begin_next, std::string const& new_line)
    {
        constexpr std::size_t kShort = 40;
        std::size_t const indent = new_line.size() - new_line.rfind('\n') - 1;
        std::string const key = value_text(JsonValue::string(member.key), indent, 0) + ": ";
        std::string const text = value_text(member.value, indent, indent + key.size());
        bool const own_line =
            is_container(member.value) || text.size() > kShort || column() + key.size() + text.size() > 108;
        begin_next(own_line ? std::string_view(new_line) : std::string_view(" "));
        m_out += key + text;
    }

    WrittenForm const& m_form;
    std::string m_out;
    std::size_t m_seen = 0; ///< bytes of m_out that were looked at for line ends
    std::size_t m_line = 0; ///< where the last line seen begins
};

} // namespace

std::string document_text(JsonValue const& document, std::string_view old_text)
{
    std::string_view const text = without_byte_order_mark(old_text);
    JsonReading const old = read_json(text);
    if (!old.value || old.value->at.line == 0)
        return document_text(document);
    WrittenForm const form(text, *old.value);
    FormKeeper keeper(form);
    keeper.append(document, 0);
    std::string written{form.slice(0, form.begin(old.value->at))};
    written += keeper.take();
    written += form.slice(form.end(*old.value), form.size());
    JsonReading const back = read_json(written);
    return back.value && *back.value == document ? written : document_text(document);
}

} // namespace tabard::pipeline
