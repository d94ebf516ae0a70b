#include "pipeline/desk/file/document_place.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

bool is_list_or_object(JsonValue const& value)
{
    return value.kind == JsonValue::Kind::array || value.kind == JsonValue::Kind::object;
}

/// A text or a number ends where the next thing begins, so that the last that begins before a place holds it.
bool holds(JsonValue const& value, SourcePosition at)
{
    return value.at <= at && (!is_list_or_object(value) || at <= value.end);
}

/// One step towards `at`; false where `place` is the innermost.
bool step_in(DocumentPlace& place, SourcePosition at)
{
    JsonValue const& here = *place.value;
    if (here.kind == JsonValue::Kind::array) {
        auto const after = std::ranges::upper_bound(here.items, at, {}, &JsonValue::at);
        if (after == here.items.begin() || !holds(*std::prev(after), at))
            return false;
        place.path.emplace_back(static_cast<std::size_t>(std::prev(after) - here.items.begin()));
        place.value = &*std::prev(after);
    } else {
        auto const after = std::ranges::upper_bound(here.members, at, {}, &JsonValue::Member::at);
        if (after == here.members.begin())
            return false;
        JsonValue::Member const& member = *std::prev(after);
        place.at_key = at < member.value.at;
        if (!place.at_key && !holds(member.value, at))
            return false;
        place.path.emplace_back(member.key);
        place.value = &member.value;
        place.exact = at == member.at;
        return !place.at_key;
    }
    return true;
}

} // namespace

DocumentPlace place_in(JsonValue const& document, SourcePosition at)
{
    DocumentPlace place{{}, &document, false, false, std::nullopt};
    if (at == SourcePosition{})
        return place;
    while (place.value->at != at && step_in(place, at))
        ;
    place.exact = place.exact || place.value->at == at;
    if (place.path.size() >= 2 && place.path[0] == DocumentPath::value_type{std::string{"sections"}})
        if (auto const* const index = std::get_if<std::size_t>(&place.path[1]))
            place.part = *index;
    return place;
}

} // namespace tabard::pipeline
