#include "pipeline/desk/view/told_findings.h"

#include "pipeline/desk/view/json.h"

namespace tabard::pipeline {
namespace {

Error not_understood() { return {ErrorKind::decode, "what the check said is not understood"}; }

Severity severity_of(std::string_view name)
{
    for (Severity const severity : {Severity::warning, Severity::advice})
        if (severity_name(severity) == name)
            return severity;
    return Severity::error;
}

FoldedFinding folded(Json const& json)
{
    FoldedFinding result;
    Finding& finding = result.finding;
    finding.severity = severity_of(json.value("severity", ""));
    finding.code = json.value("code", "");
    finding.at = {json.value("line", 0), json.value("column", 0)};
    if (json.contains("seconds"))
        finding.time = from_seconds(json.at("seconds").get<double>());
    finding.what = json.value("what", "");
    finding.fix = json.value("fix", "");
    result.more = json.value("more", 0);
    result.section = json.value("section", "");
    return result;
}

} // namespace

Result<std::vector<FoldedFinding>> told_findings(std::string_view text)
{
    try {
        Json const json = Json::parse(text);
        std::vector<FoldedFinding> findings;
        for (Json const& one : json.at("findings"))
            findings.push_back(folded(one));
        return findings;
    } catch (Json::exception const&) {
        return not_understood();
    }
}

} // namespace tabard::pipeline
