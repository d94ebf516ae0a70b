#include "pipeline/listen/listen_report.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

using testing::HasSubstr;
using testing::Not;

HeardSection section(char const* name, Verdict verdict)
{
    HeardSection result;
    result.name = name;
    result.verdict = verdict;
    result.fits = 0.97;
    result.confidence = 0.9;
    result.has_time = true;
    result.tempo = {80'000};
    result.played = {from_seconds(10), from_seconds(22)};
    result.pins = {{{1, 1}, from_seconds(10), {}}, {{5, 1}, from_seconds(22), {}}};
    if (verdict != Verdict::sure) {
        result.reason = "it might as well lie one beat earlier";
        result.help = "write a pin where bar 1 begins";
    }
    return result;
}

TEST(ListenReport, SaysOfEachPartHowSureItIsAndWhatToDoAndCountsThem)
{
    LessonHeard heard;
    heard.sections = {section("Verse", Verdict::sure), section("Chorus", Verdict::doubtful),
                      section("Coda", Verdict::not_found)};
    EXPECT_EQ(listen_text(heard),
              "Verse: 0:10.00 to 0:22.00, tempo 80.0, sure: 97 % sounds as written, 0 changes in 2 pins\n"
              "Chorus: 0:10.00 to 0:22.00, tempo 80.0, doubtful: it might as well lie one beat "
              "earlier; its rough time is left as it is\n"
              "    next: write a pin where bar 1 begins; or take it as it is with --doubtful\n"
              "Coda: not found: it might as well lie one beat earlier; its rough time is left as it is\n"
              "    next: write a pin where bar 1 begins\n"
              "3 parts: 1 sure, 1 doubtful, 1 not found\n");
}

TEST(ListenReport, WhatTheAuthorTakesIsWrittenAndStillCalledDoubtful)
{
    LessonHeard heard;
    heard.sections = {section("Chorus", Verdict::doubtful)};
    heard.sections[0].taken = true;
    auto const text = listen_text(heard);
    EXPECT_THAT(text, HasSubstr("doubtful: it might as well lie one beat earlier, 0 changes in 2 pins"));
    EXPECT_THAT(text, HasSubstr("1 part: 0 sure, 1 doubtful, 0 not found"));
    EXPECT_THAT(text, Not(HasSubstr("next:")));
}

TEST(ListenReport, NamesWhereThePlayingLeavesTheChart)
{
    LessonHeard heard;
    heard.sections = {section("Verse", Verdict::sure)};
    heard.sections[0].deviations = {
        {Deviation::Kind::pause, {3, 1}, {3, 1}, {1, 1}, 0, {from_seconds(16), from_seconds(18)}}};
    EXPECT_THAT(listen_text(heard), HasSubstr("    stops after bar 2 at 0:16.0, goes on with bar 3 at 0:18.0\n"));
    auto const json = nlohmann::json::parse(listen_json(heard));
    auto const& deviation = json["sections"][0]["deviations"][0];
    EXPECT_EQ(deviation["kind"], "pause");
    EXPECT_EQ(deviation["position"], "3.1");
    EXPECT_EQ(deviation["goes_on_with"], "3.1");
    EXPECT_EQ(deviation["from"], 16.0);
    EXPECT_EQ(deviation["to"], 18.0);
}

TEST(ListenReport, NamesEveryTimeThatAPartIsPlayed)
{
    LessonHeard heard;
    heard.sections = {section("Verse", Verdict::sure)};
    heard.sections[0].also = {{from_seconds(50.1), from_seconds(62)}};
    EXPECT_THAT(
        listen_text(heard),
        HasSubstr("    it is played from 0:50.1 to 1:02.0 too: to take that time, write \"from\": \"0:50.1\"\n"));
    EXPECT_EQ(nlohmann::json::parse(listen_json(heard))["sections"][0]["also_played"][0]["from"], 50.1);
}

TEST(ListenReport, TellsAProgramTheSame)
{
    LessonHeard heard;
    heard.sections = {section("Chorus", Verdict::doubtful), section("Coda", Verdict::not_found)};
    auto const json = nlohmann::json::parse(listen_json(heard));
    EXPECT_EQ(json["sections"][0]["result"], "doubtful");
    EXPECT_EQ(json["sections"][0]["trusted"], false);
    EXPECT_EQ(json["sections"][0]["reason"], "it might as well lie one beat earlier");
    EXPECT_EQ(json["sections"][0]["help"], "write a pin where bar 1 begins");
    EXPECT_EQ(json["sections"][0]["exact_pins"][1][1], "0:22");
    EXPECT_EQ(json["sections"][1]["result"], "not found");
    EXPECT_FALSE(json["sections"][1].contains("from"));
}

} // namespace
} // namespace tabard::pipeline
