#include "pipeline/desk/view/findings_json.h"

#include "pipeline/cues/writer.h"
#include "pipeline/desk/view/json.h"
#include "pipeline/desk/view/repairs.h"

namespace tabard::pipeline {
namespace {

Json path_json(DocumentPath const& path)
{
    Json list = Json::array();
    for (auto const& step : path)
        std::visit([&](auto const& one) { list.push_back(one); }, step);
    return list;
}

/// What was read of a file is JSON; a number of it may still be more than this library holds.
Json value_json(JsonValue const& value)
{
    Json json = Json::parse(value_text(value, 0, 0), nullptr, false);
    return json.is_discarded() ? Json(value.text) : json;
}

Json repair_json(Repair const& repair)
{
    Json edits = Json::array();
    for (RepairEdit const& edit : repair.edits) {
        Json json{{"path", path_json(edit.path)}};
        if (edit.value)
            json["value"] = value_json(*edit.value);
        else if (!edit.key.empty())
            json["move"] = edit.key;
        else
            json["remove"] = true;
        edits.push_back(std::move(json));
    }
    return {{"words", repair.words}, {"edits", std::move(edits)}};
}

Json finding_json(FoldedFinding const& folded, JsonValue const& document)
{
    Finding const& finding = folded.finding;
    DocumentPlace const place = place_in(document, finding.at);
    Json repairs = Json::array();
    for (Repair const& repair : repairs_of(finding, place, document))
        repairs.push_back(repair_json(repair));
    return {{"severity", severity_name(finding.severity)},
            {"code", finding.code},
            {"what", finding.what},
            {"fix", finding.fix},
            {"line", finding.at.line},
            {"column", finding.at.column},
            {"part", place.part ? Json(*place.part) : Json(nullptr)},
            {"path", path_json(place.path)},
            {"time", json_seconds(finding.time)},
            {"more", folded.more},
            {"repairs", std::move(repairs)}};
}

} // namespace

Json findings_json(std::vector<FoldedFinding> const& findings, JsonValue const& document)
{
    Json list = Json::array();
    for (FoldedFinding const& folded : findings)
        list.push_back(finding_json(folded, document));
    return list;
}

} // namespace tabard::pipeline
