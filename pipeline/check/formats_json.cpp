#include "pipeline/check/formats.h"
#include "pipeline/time/timecode.h"

#include <cctype>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

using Json = nlohmann::ordered_json;

Json finding_json(Finding const& finding)
{
    Json json{{"code", finding.code},
              {"severity", severity_name(finding.severity)},
              {"line", finding.at.line},
              {"column", finding.at.column}};
    if (finding.time) {
        json["seconds"] = to_seconds(*finding.time);
        json["time"] = print_time(*finding.time);
    }
    json["what"] = finding.what;
    json["fix"] = finding.fix;
    return json;
}

/// Bytes that are no UTF-8 (in a file's name) become U+FFFD rather than an exception.
std::string dump(Json const& json) { return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n"; }

} // namespace

std::string json_text(CheckResult const& result, std::filesystem::path const& file)
{
    Json findings = Json::array();
    for (FoldedFinding const& folded : result.findings) {
        Json json = finding_json(folded.finding);
        if (!folded.section.empty())
            json["section"] = folded.section;
        json["more"] = folded.more;
        findings.push_back(std::move(json));
    }
    Json accepted = Json::array();
    for (AcceptedFinding const& one : result.accepted) {
        Json json = finding_json(one.finding);
        json["reason"] = one.reason;
        accepted.push_back(std::move(json));
    }
    return dump({{"version", 1},
                 {"file", file.string()},
                 {"findings", findings},
                 {"accepted", accepted},
                 {"summary", {{"errors", result.errors}, {"warnings", result.warnings}, {"advice", result.advice}}}});
}

namespace {

/// A path as a URI reference (RFC 3986): all but unreserved characters and the slash percent-encoded, byte by byte. Two
/// slashes at the front would make a host of what follows.
std::string uri_of(std::filesystem::path const& file)
{
    constexpr std::string_view kUnreserved = "-._~/";
    std::string uri;
    for (char const sign : file.generic_string()) {
        auto const byte = static_cast<unsigned char>(sign);
        if (uri == "/" && sign == '/')
            continue;
        bool const kept = byte < 0x80 && (std::isalnum(byte) != 0 || kUnreserved.find(sign) != std::string_view::npos);
        uri += kept ? std::string{sign} : fmt::format("%{:02X}", byte);
    }
    return uri;
}

std::string_view sarif_level(Severity severity)
{
    return severity == Severity::advice ? "note" : severity_name(severity);
}

Json sarif_result(Finding const& finding, std::filesystem::path const& file, int more)
{
    std::string const time = finding.time ? "At " + print_time(*finding.time, 1) + ": " : "";
    Json const region{{"startLine", std::max(1, finding.at.line)}, {"startColumn", std::max(1, finding.at.column)}};
    return {
        {"ruleId", finding.code},
        {"level", sarif_level(finding.severity)},
        {"message", {{"text", time + finding.what + (finding.fix.empty() ? "" : "; " + finding.fix)}}},
        {"occurrenceCount", 1 + more},
        {"locations",
         Json::array({{{"physicalLocation", {{"artifactLocation", {{"uri", uri_of(file)}}}, {"region", region}}}}})}};
}

Json sarif_rule(FindingCode const& code)
{
    return {{"id", code.code},
            {"shortDescription", {{"text", code.title}}},
            {"fullDescription", {{"text", code.explanation}}},
            {"defaultConfiguration", {{"level", sarif_level(code.severity)}}}};
}

Json sarif_rules(std::span<FindingCode const> other_codes)
{
    Json rules = Json::array();
    for (Rule const* rule : all_rules())
        rules.push_back(sarif_rule(*rule));
    for (FindingCode const& code : other_codes)
        rules.push_back(sarif_rule(code));
    return rules;
}

} // namespace

std::string sarif_text(CheckResult const& result, std::filesystem::path const& file,
                       std::span<FindingCode const> other_codes)
{
    Json results = Json::array();
    for (FoldedFinding const& folded : result.findings)
        results.push_back(sarif_result(folded.finding, file, folded.more));
    for (AcceptedFinding const& one : result.accepted) {
        Json json = sarif_result(one.finding, file, 0);
        json["suppressions"] = Json::array({{{"kind", "inSource"}, {"justification", one.reason}}});
        results.push_back(std::move(json));
    }
    Json const driver{{"name", "tabard"}, {"rules", sarif_rules(other_codes)}};
    // Columns of the cue file are bytes, which SARIF has no name for; for the usual ASCII they are its UTF-16 units.
    return dump(
        {{"$schema", "https://json.schemastore.org/sarif-2.1.0.json"},
         {"version", "2.1.0"},
         {"runs",
          Json::array({{{"tool", {{"driver", driver}}}, {"columnKind", "utf16CodeUnits"}, {"results", results}}})}});
}

} // namespace tabard::pipeline
