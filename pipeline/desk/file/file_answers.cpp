#include "overlay/base/json_reader.h"
#include "pipeline/cues/reader.h"
#include "pipeline/desk/desk.h"
#include "pipeline/desk/view/json.h"

namespace tabard::pipeline {
namespace {

std::string text_of(JsonValue const& body, std::string_view key)
{
    JsonValue const* const value = body.find(key);
    return value != nullptr && value->kind == JsonValue::Kind::string ? value->text : "";
}

/// The body's values as they go into the cue file: numbers keep their digits.
Answer with_edits(Request const& request,
                  std::function<Answer(JsonValue const&, std::function<Result<void>(JsonValue&)> const&)> const& use)
{
    auto const body = parse_document(request.body);
    JsonValue const* const edits = body ? body->find("edits") : nullptr;
    if (edits == nullptr)
        return refusal(400, body ? "there are no edits" : body.error().what);
    return use(*body, [edits](JsonValue& document) { return apply_edits(document, *edits); });
}

Answer edit(Desk& desk, Request const& request)
{
    return with_edits(request, [&desk](JsonValue const& body, auto const& change) {
        return desk.change(text_of(body, "base"), text_of(body, "what"), change);
    });
}

Answer try_edit(Desk& desk, Request const& request)
{
    return with_edits(request, [&desk](JsonValue const& body, auto const& change) {
        return desk.try_change(text_of(body, "base"), change);
    });
}

/// The strings of a body by their names; whole cue files among them.
Answer with_texts(Request const& request, std::vector<std::string> const& names,
                  std::function<Answer(std::vector<std::string> const&)> const& use)
{
    JsonLimits limits;
    limits.text = kMostCueFileBytes;
    limits.control_characters = true;
    auto const body = parse_json(request.body, limits);
    if (!body || !body->is_object())
        return refusal(400, body ? "an object is wanted" : body.error().what);
    std::vector<std::string> texts;
    for (std::string const& name : names) {
        auto const found = body->find(name);
        if (found == body->end() || !found->is_string())
            return refusal(400, "'" + name + "' is missing");
        texts.push_back(found->get<std::string>());
    }
    return use(texts);
}

Answer settle(Desk& desk, Request const& request)
{
    return with_texts(request, {"keep", "mine", "theirs"}, [&desk](auto const& texts) {
        if (texts[0] == "mine")
            return desk.keep_mine(texts[1], texts[2]);
        return texts[0] == "theirs" ? desk.keep_theirs(texts[1], texts[2])
                                    : refusal(400, "'keep' is \"mine\" or \"theirs\"");
    });
}

Answer versions(Desk const& desk)
{
    Json list = Json::array();
    for (KeptVersion const& version : desk.versions())
        list.push_back({{"id", version.id}, {"when", version.when}, {"what", version.what}});
    return json_answer(list);
}

Answer version(Desk& desk, Request const& request)
{
    std::string const id = request.value("id");
    auto text = id.empty() ? Result<std::string>(desk.view()->file.text) : desk.version(id);
    return text ? Answer{200, "text/plain; charset=utf-8", *std::move(text), {}, {}} : refusal(text.error());
}

} // namespace

void add_file_answers(Routes& routes, Desk& desk)
{
    routes.get["versions"] = [&desk](Request const&) { return versions(desk); };
    routes.get["version"] = [&desk](Request const& request) { return version(desk, request); };
    routes.post["edit"] = [&desk](Request const& request) { return edit(desk, request); };
    routes.post["try"] = [&desk](Request const& request) { return try_edit(desk, request); };
    routes.post["settle"] = [&desk](Request const& request) { return settle(desk, request); };
    routes.post["undo"] = [&desk](Request const& request) {
        return with_texts(request, {"base"}, [&desk](auto const& texts) { return desk.undo(texts[0]); });
    };
    routes.post["redo"] = [&desk](Request const& request) {
        return with_texts(request, {"base"}, [&desk](auto const& texts) { return desk.redo(texts[0]); });
    };
    routes.post["restore"] = [&desk](Request const& request) {
        return with_texts(request, {"base", "id"},
                          [&desk](auto const& texts) { return desk.restore(texts[0], texts[1]); });
    };
    routes.post["open"] = [&desk](Request const& request) {
        return with_texts(request, {"name"}, [&desk](auto const& texts) { return desk.open_beside(texts[0]); });
    };
}

} // namespace tabard::pipeline
