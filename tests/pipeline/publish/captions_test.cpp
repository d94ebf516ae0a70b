#include "pipeline/publish/caption_files.h"
#include "pipeline/publish/captions.h"
#include "pipeline/publish/read_captions.h"
#include "tests/pipeline/publish/lessons.h"
#include "tests/support/run_program.h"

#include <algorithm>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::HasSubstr;
using testing::Not;

Caption caption(double from, double to, std::string text, std::string settings = "")
{
    return {from_seconds(from), from_seconds(to), std::move(text), "", std::move(settings)};
}

std::string said_at(std::vector<Caption> const& captions, double seconds)
{
    for (auto const& caption : captions)
        if (caption.from <= from_seconds(seconds) && from_seconds(seconds) < caption.to)
            return caption.text;
    return "";
}

TEST(Captions, SayWhatIsOnScreen)
{
    auto const lesson = lessons::lesson(lessons::kUsual);
    auto const captions = captions_of(lesson, lessons::timeline(lesson));
    EXPECT_EQ(said_at(captions, 2.5), "Talk");
    EXPECT_THAT(said_at(captions, 4), HasSubstr("Chord C"));
    EXPECT_EQ(said_at(captions, 7), "Relax.");
    EXPECT_THAT(said_at(captions, 12.5), HasSubstr("Verse 1\nStrum \u201Cslow\u201D: down, pass, tap, up\nChord C"));
    EXPECT_EQ(said_at(captions, 18.5), "Chord G"); // bar 2 at 60 beats a minute: F at 16 s, G at 18 s
    EXPECT_EQ(said_at(captions, 11), "");          // between the talk and the verse
}

// Bars 1 and 2 from 10 to 18, a pause to 26, bars 3 and 4.
TEST(Captions, InAPauseACueStandsForWhatIsPlayed)
{
    auto const lesson = lessons::lesson(R"(
        {"name": "Verse", "bars": "C | G | Am | F", "pins": [["1.1", "0:10"], ["3.1", "0:18 to 0:26"], ["5.1", "0:34"]],
         "show": [{"chord": "E7", "from": "0:20", "to": "0:23"}]})");
    auto const captions = captions_of(lesson, lessons::timeline(lesson));
    EXPECT_EQ(said_at(captions, 17.9), "Chord G");
    EXPECT_EQ(said_at(captions, 18.5), "Chord Am") << "what comes";
    EXPECT_EQ(said_at(captions, 21), "Chord E7");
    EXPECT_EQ(said_at(captions, 25), "Chord Am");
    EXPECT_EQ(said_at(captions, 29.9), "Chord Am");
    EXPECT_EQ(said_at(captions, 30.1), "Chord F");
}

TEST(Captions, RiseAndDoNotOverlap)
{
    auto const lesson = lessons::lesson(lessons::kUsual);
    auto const captions = captions_of(lesson, lessons::timeline(lesson));
    ASSERT_GT(captions.size(), 10u);
    for (std::size_t i = 0; i < captions.size(); ++i) {
        EXPECT_GE(captions[i].to - captions[i].from, kShortestCaption);
        EXPECT_GE(captions[i].from, i > 0 ? captions[i - 1].to : Time{0});
    }
}

TEST(CaptionFiles, WriteWhatTheyRead)
{
    CaptionFile const file{
        {caption(0, 1.5, "Hello &amp; &lt;welcome&gt;"), caption(3661.25, 3662, "two\nlines", "line:0")},
        {"STYLE\n::cue {}"}};
    EXPECT_EQ(parse_captions(webvtt(file))->file, file);
    EXPECT_EQ(webvtt({{caption(3661.25, 3662, "x")}, {}}), "WEBVTT\n\n01:01:01.250 --> 01:01:02.000\nx\n");
    EXPECT_EQ(subrip({caption(0, 1.5, "a &amp; <v Ann>b</v> <i>c</i>")}),
              "1\n00:00:00,000 --> 00:00:01,500\na & b <i>c</i>\n");
}

TEST(CaptionFiles, LeaveNoRoomForTextToBreakTheFile)
{
    EXPECT_EQ(cue_text("Rock & Roll <intro> --> A\u266D"), "Rock &amp; Roll &lt;intro&gt; --&gt; A\u266D");
    EXPECT_EQ(cue_text("one\n\n\n two \r\n"), "one\ntwo");
    EXPECT_EQ(cue_text(" \n "), "");
}

/// How many cues FFmpeg's reader of the format finds.
std::size_t cues_by_ffprobe(std::string const& name, std::string const& text)
{
    tests::TemporaryFolder const folder;
    tests::write_text(folder / name, text);
    auto const packets = tests::run_program(
        {"ffprobe", "-v", "error", "-show_entries", "packet=pts_time", "-of", "csv=p=0", folder / name});
    return static_cast<std::size_t>(std::ranges::count(packets.out, '\n'));
}

TEST(CaptionFiles, HoldTextThatLooksLikeACueAsText)
{
    std::string const text = "one\n\n2\n00:00:05,000 --> 00:00:06,000\nsecond\n\n"
                             "3\n00:00:07.000 --> 00:00:08.000\nthird\u2028\u2028<c></c> & more";
    std::vector<Caption> const captions{caption(1, 2, cue_text(text)), caption(3, 4, "a\n<c></c>\nb"),
                                        caption(4, 5, "00:01.000 --&gt; 00:02.000"), caption(5, 6, "<c></c>")};
    EXPECT_EQ(cues_by_ffprobe("c.srt", subrip(captions)), 3U); // one shows nothing
    EXPECT_EQ(cues_by_ffprobe("c.vtt", webvtt({captions, {}})), 4U);
    auto const back = parse_captions(subrip(captions));
    ASSERT_TRUE(back);
    ASSERT_EQ(back->file.captions.size(), 3U);
    EXPECT_EQ(
        plain_text(back->file.captions[0].text),
        "one\n2\n00:00:05,000 \u2192 00:00:06,000\nsecond\n3\n00:00:07.000 \u2192 00:00:08.000\nthird  <c></c> & more");
    EXPECT_EQ(back->file.captions[1].text, "a\nb");
}

/// Those of a person may stand on each other, those of the screen do not.
std::vector<Caption> any_captions(bool overlapping)
{
    std::vector<Caption> captions;
    Time at{0};
    for (int i = 0, count = *rc::gen::inRange(0, 12); i < count; ++i) {
        Time const from = at + from_ticks(*rc::gen::inRange(0, 3000), 1, 1000);
        Time const to = from + from_ticks(*rc::gen::inRange(500, 4000), 1, 1000);
        captions.push_back({from, to, (overlapping ? "said " : "shown ") + std::to_string(i)});
        if (overlapping && *rc::gen::inRange(0, 3) == 0)
            captions.back().settings = "line:10%";
        at = overlapping ? from : to;
    }
    return captions;
}

RC_GTEST_PROP(MergedCaptions, KeepEveryCueOfThePersonAsItIs, ())
{
    auto const speech = any_captions(true);
    auto const screen = any_captions(false);
    for (auto const style : {MergeStyle::on_top, MergeStyle::in_gaps}) {
        auto const merged = merge_captions(speech, screen, style);
        for (auto const& cue : speech)
            RC_ASSERT(std::ranges::count(merged, cue) >= 1);
        RC_ASSERT(std::ranges::is_sorted(merged, {}, &Caption::from));
    }
}

RC_GTEST_PROP(MergedCaptions, NeverStandOnEachOther, ())
{
    auto const speech = any_captions(true);
    auto const screen = any_captions(false);
    for (auto const style : {MergeStyle::on_top, MergeStyle::in_gaps}) {
        auto shown = merge_captions(speech, screen, style);
        std::erase_if(shown, [](Caption const& caption) { return caption.text.starts_with("said"); });
        for (std::size_t i = 0; i < shown.size(); ++i) {
            RC_ASSERT(shown[i].from < shown[i].to);
            RC_ASSERT((i == 0 || shown[i - 1].to <= shown[i].from));
            for (auto const& said : speech) // on top, only those that are placed may be there too
                RC_ASSERT(((style == MergeStyle::on_top && said.settings.empty()) || said.to <= shown[i].from ||
                           shown[i].to <= said.from));
        }
    }
}

} // namespace
} // namespace tabard::pipeline
