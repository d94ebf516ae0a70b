#include "pipeline/desk/desk.h"

namespace tabard::pipeline {
namespace {

std::string text_of(JsonValue const& body, std::string_view key)
{
    JsonValue const* const value = body.find(key);
    return value != nullptr && value->kind == JsonValue::Kind::string ? value->text : "";
}

Answer edit(Desk& desk, Request const& request)
{
    auto const body = parse_document(request.body);
    JsonValue const* const edits = body ? body->find("edits") : nullptr;
    if (edits == nullptr)
        return refusal(400, body ? "there is nothing to change" : body.error().what);
    return desk.change(text_of(*body, "base"), text_of(*body, "what"),
                       [edits](JsonValue& document) { return apply_edits(document, *edits); });
}

} // namespace

void add_file_answers(Routes& routes, Desk& desk)
{
    routes.post.emplace("edit", [&desk](Request const& request) { return edit(desk, request); });
}

} // namespace tabard::pipeline
