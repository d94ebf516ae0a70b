#include "pipeline/cues/json_text.h"
#include "pipeline/cues/reader.h"
#include "tests/support/paths.h"

#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validation_results.hpp>
#include <valijson/validator.hpp>

namespace tabard::pipeline {
namespace {

std::filesystem::path const kSource = tests::source_folder();

nlohmann::json load(std::filesystem::path const& path)
{
    std::ifstream file(path);
    return nlohmann::json::parse(file);
}

/// What valijson (an independent validator) says of a document; empty where it fits.
std::string complaint(nlohmann::json const& document)
{
    valijson::Schema schema;
    static auto const text_of_schema = load(kSource / "templates/cues.schema.json");
    valijson::adapters::NlohmannJsonAdapter const schema_adapter(text_of_schema);
    valijson::SchemaParser(valijson::SchemaParser::kDraft7).populateSchema(schema_adapter, schema);
    valijson::adapters::NlohmannJsonAdapter const adapter(document);
    valijson::ValidationResults results;
    if (valijson::Validator().validate(schema, adapter, &results))
        return "";
    valijson::ValidationResults::Error error;
    std::string text = "does not fit";
    while (results.popError(error))
        text += "; " + error.description;
    return text;
}

bool is_cue_file(std::filesystem::path const& path)
{
    return path.extension() == ".json" && load(path).contains("tabard");
}

std::vector<std::filesystem::path> cue_files()
{
    std::vector<std::filesystem::path> files;
    for (char const* folder : {"templates", "sample_media"})
        for (auto const& entry : std::filesystem::recursive_directory_iterator(kSource / folder))
            if (is_cue_file(entry.path()))
                files.push_back(entry.path());
    return files;
}

TEST(CueSchema, FitsEveryExampleAndTemplate)
{
    auto const files = cue_files();
    ASSERT_GE(files.size(), 1U);
    for (auto const& path : files) {
        SCOPED_TRACE(path);
        EXPECT_EQ(complaint(load(path)), "");
        auto const reading = read_lesson(path).value();
        for (Finding const& finding : reading.findings)
            ADD_FAILURE() << finding.at.line << ":" << finding.at.column << ": " << finding.what;
    }
}

TEST(CueSchema, FitsMetersAsScoresPrintThem)
{
    for (char const* meter : {"5/4", "3+2/4", "2+2+3/8", "2 + 2 + 3 / 8", " 3+3+2/8 ", "1+15/16"}) {
        SCOPED_TRACE(meter);
        nlohmann::json const document{{"tabard", 1},
                                      {"title", "t"},
                                      {"footage", "f"},
                                      {"meter", meter},
                                      {"sections", {{{"name", "a"}, {"from", 0}}}}};
        EXPECT_EQ(complaint(document), "");
        auto const reading = parse_lesson(document.dump(), "cues.json");
        EXPECT_TRUE(reading.findings.empty()) << reading.findings[0].what;
    }
}

// Listening finds when it is played.
TEST(CueSchema, FitsAPartOfChordsAloneWhichListeningIsToPlace)
{
    for (char const* part : {R"({"name": "Verse", "bars": "C | G"})", R"({"as": "Verse"})"}) {
        auto const text = std::string(R"({"tabard": 1, "title": "t", "footage": "f", "tempo": 80, "sections": [
{"name": "Verse", "bars": "C | G"}, )") +
                          part + "]}";
        SCOPED_TRACE(text);
        EXPECT_EQ(complaint(nlohmann::json::parse(text)), "");
        LessonReadOptions untimed;
        untimed.charts = Charts::untimed;
        EXPECT_TRUE(parse_lesson(text, "cues.json", untimed).findings.empty());
    }
}

TEST(CueSchema, FitsPinsWithPausesAndSkips)
{
    for (char const* pin :
         {R"(["1.1", "0:37.0 to 0:43.6"])", R"(["1.1 to 2.1", "0:37"])", R"(["1 to 2.1+1/2", "-0:01 to 43"])"}) {
        auto const text = std::string(R"({"tabard": 1, "title": "t", "footage": "f", "tempo": 80, "sections": [
{"name": "Verse", "bars": "C | G", "pins": [)") +
                          pin + "]}]}";
        SCOPED_TRACE(text);
        EXPECT_EQ(complaint(nlohmann::json::parse(text)), "");
        EXPECT_TRUE(parse_lesson(text, "cues.json").findings.empty());
    }
}

constexpr char const* kWrong[] = {
    R"({"title": "t", "footage": "f", "sections": [{"name": "a", "from": 0}]})",
    R"({"tabard": 2, "title": "t", "footage": "f", "sections": [{"name": "a", "from": 0}]})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": 0}], "cappo": 2})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": 0}], "capo": -1})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": 0}], "meter": "4/5"})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": 0}], "meter": "3+0/4"})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": 0}], "meter": "3+/4"})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": 0}], "meter": "3/4+2/4"})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": 0}], "meter": "(3+2)/4"})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": 0}], "meter": "17/8"})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": []})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a"}]})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": "0:5"}]})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": "-0:05"}]})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": 0, "show": [{"from": 1}]}]})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "pins": [["1.1"]]}]})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "pins": [["1.1", "0:01-0:02"]]}]})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "pins": [["1.1", "0:01 to"]]}]})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "pins": [["1.1", "0:01", "0:02"]]}]})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "pins": [["1.1 - 2.1", "0:01"]]}]})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": 0, "piece": {"number": 2}}]})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": 0, "seams": 5}]})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": 0, "seams": ["-0:05"]}]})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": 0}], "shapes": {"F": {"easy": 1}}})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": 0}], "strums": {"s": {"steps": "D", "swing": 2}}})",
    R"({"tabard": 1, "title": "t", "footage": "f", "sections": [{"name": "a", "from": 0}], "accept": [{"code": "x"}]})",
};

// An editor that knows the schema alone must mark what the reader marks.
TEST(CueSchema, RefusesWhatTheReaderRefuses)
{
    for (char const* text : kWrong) {
        SCOPED_TRACE(text);
        EXPECT_NE(complaint(nlohmann::json::parse(text)), "");
        EXPECT_FALSE(parse_lesson(text, "cues.json").findings.empty());
    }
}

} // namespace
} // namespace tabard::pipeline
