#include "pipeline/check/formats.h"
#include "tests/pipeline/check/checked_file.h"
#include "tests/support/paths.h"

#include <fstream>
#include <regex>
#include <set>
#include <sstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validator.hpp>

namespace tabard::pipeline {
namespace {

using testing::HasSubstr;

CheckResult bad_lesson() { return checked_file(tests::source_folder() / "tests/data/bad_lesson/lesson.json"); }

// GNU Coding Standards, "Formatting Error Messages": sourcefile:lineno:column: message.
TEST(GnuForm, IsALineForEachFindingThatEditorsJumpBy)
{
    auto const result = bad_lesson();
    std::istringstream lines(gnu_text(result, "lesson.json"));
    std::regex const form(R"(lesson\.json:[0-9]+:[0-9]+: (error|warning|advice): .+ \[[a-z-]+\])");
    std::string line;
    std::size_t count = 0;
    while (std::getline(lines, line)) {
        EXPECT_TRUE(std::regex_match(line, form)) << line;
        ++count;
    }
    EXPECT_EQ(count, result.findings.size());
}

TEST(GnuForm, SaysHowManyMoreThereAre)
{
    CheckResult result;
    result.findings.push_back({{Severity::error, "x", {3, 4}, std::nullopt, "what", "fix"}, 11, ""});
    EXPECT_EQ(gnu_text(result, "f.json"), "f.json:3:4: error: what (and 11 more like it); fix [x]\n");
}

// A name may hold a line's end; what follows must not pass for a finding of its own.
TEST(GnuForm, KeepsOneLineForAFindingWhateverNamesHold)
{
    CheckResult result;
    result.findings.push_back(
        {{Severity::error, "x", {3, 4}, std::nullopt, "'A\nB.json:1:1: error:\tno'", "m"}, 0, ""});
    EXPECT_EQ(gnu_text(result, "f.json"), "f.json:3:4: error: 'A B.json:1:1: error: no'; m [x]\n");
}

TEST(Summary, CountsInWords)
{
    CheckResult result;
    EXPECT_EQ(summary_text(result), "No problems found.");
    result.errors = 1;
    result.advice = 2;
    EXPECT_EQ(summary_text(result), "1 error, 2 pieces of advice");
}

TEST(JsonForm, FitsItsSchema)
{
    std::ifstream file(tests::source_folder() / "templates/findings.schema.json");
    auto const schema_text = nlohmann::json::parse(file);
    valijson::adapters::NlohmannJsonAdapter const schema_adapter(schema_text);
    valijson::Schema schema;
    valijson::SchemaParser(valijson::SchemaParser::kDraft7).populateSchema(schema_adapter, schema);
    auto const fits = [&](nlohmann::json const& document) {
        valijson::adapters::NlohmannJsonAdapter const adapter(document);
        return valijson::Validator().validate(schema, adapter, nullptr);
    };
    auto const result = bad_lesson();
    auto document = nlohmann::json::parse(json_text(result, "lesson.json"));
    EXPECT_TRUE(fits(document));
    EXPECT_EQ(document["findings"].size(), result.findings.size());
    EXPECT_EQ(document["summary"]["errors"], result.errors);
    EXPECT_TRUE(fits(nlohmann::json::parse(json_text({}, "lesson.json"))));
    document["findings"][0].erase("code");
    EXPECT_FALSE(fits(document));
}

// SARIF 2.1.0 (OASIS): sarifLog has "version" and "runs" (3.13), a run a tool with driver.name (3.14, 3.18, 3.19), a
// result a message (3.27.11), a level of none, note, warning or error (3.27.10), a ruleId that a rule of the driver
// has.
TEST(SarifForm, HasWhatTheStandardAsksFor)
{
    auto const result = bad_lesson();
    auto const log = nlohmann::json::parse(sarif_text(result, "lessons/lesson.json"));
    EXPECT_EQ(log["version"], "2.1.0");
    auto const& run = log["runs"].at(0);
    EXPECT_EQ(run["tool"]["driver"]["name"], "tabard");
    std::set<std::string> rules;
    for (auto const& rule : run["tool"]["driver"]["rules"])
        rules.insert(rule["id"]);
    EXPECT_EQ(run["results"].size(), result.findings.size());
    for (auto const& one : run["results"]) {
        EXPECT_TRUE(rules.contains(one["ruleId"])) << one;
        EXPECT_THAT(one["level"], testing::AnyOf("note", "warning", "error"));
        EXPECT_FALSE(one["message"]["text"].get<std::string>().empty());
        auto const& place = one["locations"].at(0)["physicalLocation"];
        EXPECT_EQ(place["artifactLocation"]["uri"], "lessons/lesson.json");
        EXPECT_GE(place["region"]["startLine"], 1);
        EXPECT_GE(place["region"]["startColumn"], 1);
    }
}

// RFC 3986: 2.3 unreserved characters stand as they are, others are percent-encoded byte by byte; 4.2: a colon in the
// first segment would make a scheme of it, two slashes a host.
TEST(SarifForm, NamesTheFileByAUri)
{
    CheckResult result;
    result.findings.push_back({{Severity::advice, "foreign-chord", {3, 4}, std::nullopt, "what", "fix"}, 0, ""});
    auto const uri = [&](std::string const& file) {
        auto const log = nlohmann::json::parse(sarif_text(result, file));
        auto const& place = log["runs"][0]["results"][0]["locations"][0]["physicalLocation"];
        return place["artifactLocation"]["uri"].get<std::string>();
    };
    EXPECT_EQ(uri("my lessons/take #2.json"), "my%20lessons/take%20%232.json");
    EXPECT_EQ(uri("C:\\take?.json"), "C%3A%5Ctake%3F.json");
    EXPECT_EQ(uri("100%.json"), "100%25.json");
    EXPECT_EQ(uri("le\u00E7on-1_a~b.json"), "le%C3%A7on-1_a~b.json");
    EXPECT_EQ(uri("caf\xE9.json"), "caf%E9.json");
    EXPECT_EQ(uri("//host/a.json"), "/host/a.json");
}

// An accepted finding is a result with a suppression of kind inSource (3.27.23, 3.35.2).
TEST(SarifForm, MarksAcceptedFindingsAsSuppressed)
{
    CheckResult result;
    result.accepted.push_back({{Severity::advice, "foreign-chord", {3, 4}, std::nullopt, "what", "fix"}, "meant so"});
    auto const log = nlohmann::json::parse(sarif_text(result, "lesson.json"));
    auto const& suppression = log["runs"][0]["results"][0]["suppressions"][0];
    EXPECT_EQ(suppression["kind"], "inSource");
    EXPECT_EQ(suppression["justification"], "meant so");
}

TEST(Explanation, IsSetInLinesThatATerminalHolds)
{
    for (Rule const* rule : all_rules()) {
        std::istringstream lines(explanation_text(*rule));
        std::string line;
        while (std::getline(lines, line))
            EXPECT_LE(line.size(), 100U) << line;
    }
}

} // namespace
} // namespace tabard::pipeline
