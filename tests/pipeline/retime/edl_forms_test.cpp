#include "cut_frames.h"
#include "pipeline/retime/edl_cut.h"

#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

// The forms in which lists are written. Where no source stands beside an expectation it is the labels counted by hand,
// at 24 or 25 frames a second.
namespace tabard::pipeline {
namespace {

using testing::HasSubstr;

constexpr FrameRate kFilm{24, 1};
constexpr FrameRate kPal{25, 1};
constexpr FrameRate kNtsc{30000, 1001};

CutOptions at(FrameRate rate)
{
    CutOptions options;
    options.rate = rate;
    return options;
}

std::vector<Frames> cut(std::string const& text, CutOptions const& options)
{
    auto const reading = parse_edl_cut(text, options);
    EXPECT_TRUE(reading) << text << (reading ? "" : reading.error().what);
    return reading ? in_frames(reading->map, *options.rate) : std::vector<Frames>{};
}

std::string error_of(std::string const& text, CutOptions const& options)
{
    auto const reading = parse_edl_cut(text, options);
    return reading ? "understood" : reading.error().what;
}

std::vector<std::string> remarks_of(std::string const& text, CutOptions const& options)
{
    auto const reading = parse_edl_cut(text, options);
    EXPECT_TRUE(reading) << text << (reading ? "" : reading.error().what);
    return reading ? reading->remarks : std::vector<std::string>{};
}

std::string const kFirst = "001 T V C 00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00\n";

TEST(EditListForms, AnEventMayHaveAnyNumber)
{
    for (char const* number : {"002A", "E003", "a2", "002.", "A"})
        EXPECT_EQ(cut(kFirst + number + " T V C 00:00:04:00 00:00:05:00 01:00:01:00 01:00:02:00\n", at(kFilm)),
                  (std::vector<Frames>{{0, 24, 0, 24}, {96, 120, 24, 48}}))
            << number;
    EXPECT_EQ(cut("E1 T V C 0 5 0 5\nE2 T V C 50 55 5 10\n", at(kFilm)),
              (std::vector<Frames>{{0, 5, 0, 5}, {50, 55, 5, 10}}));
}

TEST(EditListForms, NothingThatReadsLikeAnEventIsTakenAsAComment)
{
    for (char const* line : {"T V C 00:00:04:00 00:00:05:00 01:00:01:00 01:00:02:00",        // no number
                             "002A T V 00:00:04:00 00:00:05:00 01:00:01:00 01:00:02:00",     // no transition
                             "002A T V C 00:00:04:00 00:00:05:00 01:00:01:00",               // a label is missing
                             "002A T V C 00:00:04:00 00:00:05:00",                           // two
                             "002A T V C 00:00:04:00 00:00:05:00 01:00:01:00 O1:00:02:00",   // a letter in one
                             "002A T V C 00:00:04:00 00:00:05:00 01:00:01:00 01:00:02:00 x", // more behind
                             "STILL AT 00:00:04:00 00:00:05:00 01:00:01:00 01:00:02:00"})
        EXPECT_THAT(error_of(kFirst + line + "\n", at(kFilm)), HasSubstr("line 2: ")) << line;
    for (char const* line : {"TITLE: 00:00:04:00 00:00:05:00 01:00:01:00 01:00:02:00", "* LOC: 01:00:00:10 RED x",
                             "AUD 3 4", "SPLIT: AUDIO DELAY= 00:00:00:10", "CUT 2 of 01:00:00:00", "2ND TAKE"})
        EXPECT_EQ(cut(kFirst + line + "\n", at(kFilm)), (std::vector<Frames>{{0, 24, 0, 24}})) << line;
}

TEST(EditListForms, AnEventThatIsCommentedOutIsRemarkedOn)
{
    std::string const line = "002 T V C 00:00:04:00 00:00:05:00 01:00:01:00 01:00:02:00\n";
    EXPECT_THAT(remarks_of(kFirst + "* " + line + "#" + line, at(kFilm)),
                testing::ElementsAre("lines 2, 3 of the list: a comment that reads like an event, not followed"));
}

// The background of a key is the picture; what is keyed over it is not.
TEST(EditListForms, TheBackgroundOfAKeyIsFollowed)
{
    for (char const* background : {"K B", "KB", "k b", "K B 000", "KB 000"})
        for (char const* key : {"K 000", "K 010", "K", "K O 010", "KO 010", "K O", "K010"})
            EXPECT_EQ(cut(kFirst + fmt::format("002 T V {} 00:00:04:00 00:00:05:00 01:00:01:00 01:00:02:00\n"
                                               "002 LOGO V {} 00:00:00:00 00:00:01:00 01:00:01:00 01:00:02:00\n",
                                               background, key),
                          at(kFilm)),
                      (std::vector<Frames>{{0, 24, 0, 24}, {96, 120, 24, 48}}))
                << background << ", " << key;
}

TEST(EditListForms, TransitionsMayStandCloseOrApart)
{
    std::string const before = "1 T V C 0 24 0 24\n2 T V C 24 24 24 24\n";
    for (char const* transition : {"D 010", "D010", "d 10", "W001 010", "W 001 010", "w12 10"})
        EXPECT_EQ(cut(before + "2 T V " + transition + " 50 74 24 48\n", at(kFilm)),
                  (std::vector<Frames>{{0, 29, 0, 29}, {55, 74, 29, 48}}))
            << transition;
    for (char const* transition : {"D", "W001", "W 010", "W", "Q 010"})
        EXPECT_THAT(error_of(before + "2 T V " + transition + " 50 74 24 48\n", at(kFilm)), HasSubstr("line 3: "))
            << transition;
}

TEST(EditListForms, TracksMayStandTogether)
{
    for (char const* track : {"VA1", "VA1A2", "A1A2V", "AV", "AAV", "V+A", "V1A1"})
        EXPECT_EQ(cut("1 T V C 0 5 0 5\n2 T " + std::string{track} + " C 50 55 5 10\n", at(kFilm)).back(),
                  (Frames{50, 55, 5, 10}))
            << track;
    EXPECT_EQ(cut("1 T V C 0 5 0 5\n2 T A1A2 C 50 55 5 10\n", at(kFilm)).size(), 1U);
    EXPECT_EQ(cut("1 T V A C 0 5 0 5\n2 T V A2 C 50 55 5 10\n", at(kFilm)),
              (std::vector<Frames>{{0, 5, 0, 5}, {50, 55, 5, 10}}));
    EXPECT_EQ(cut("1 CAM A V C 0 5 0 5\n2 CAM B A C 50 55 5 10\n", at(kFilm)), (std::vector<Frames>{{0, 5, 0, 5}}));
    for (char const* track : {"VB", "BV", "AAA", "V//A", "VNONE", "V100"})
        EXPECT_THAT(error_of("1 T " + std::string{track} + " C 0 5 0 5\n", at(kFilm)), HasSubstr("is no track"))
            << track;
}

// SMPTE ST 12-1: drop-frame 00:01:00;04 is frame 1802, non-drop 00:01:00:04 frame 1804.
TEST(EditListForms, TheFrameCodeLineIsReadHoweverItIsWritten)
{
    std::string const event = "1 T V C 00:01:00:04 00:01:00:05 0 1\n";
    for (char const* line : {"FCM: DROP FRAME", "FCM:DROP FRAME", "fcm: drop", "FCM DF", "\tFCM:\tDROP-FRAME"})
        EXPECT_EQ(cut(line + ("\n" + event), at(kNtsc)), (std::vector<Frames>{{1802, 1803, 0, 1}})) << line;
    for (char const* line : {"FCM: NON-DROP FRAME", "FCM:NON DROP FRAME", "fcm: nondrop", "FCM NDF"})
        EXPECT_EQ(cut(line + ("\n" + event), at(kNtsc)), (std::vector<Frames>{{1804, 1805, 0, 1}})) << line;
    EXPECT_THAT(error_of("FCM: PAL\n" + event, at(kNtsc)), HasSubstr("line 1: an FCM line says"));
    EXPECT_EQ(cut("FCM: PAL\n1 T V C 0 5 0 5\n", at(kPal)), (std::vector<Frames>{{0, 5, 0, 5}}));
    EXPECT_EQ(cut("1 T V C 00;01;00;04 00;01;00;05 0 1\n", at(kNtsc)), (std::vector<Frames>{{1802, 1803, 0, 1}}));
}

// SMPTE ST 12-1: 00:01:00:04 is frame 1804 where no label is left out, and 1802 where two are.
TEST(EditListForms, AListWithoutItsFrameCodeIsReadAsTheFootageCountsAndSaysSo)
{
    std::string const event = "1 T V C 00:01:00:04 00:01:00:05 0 1\n";
    CutOptions options = at(kNtsc);
    EXPECT_EQ(cut(event, options), (std::vector<Frames>{{1804, 1805, 0, 1}}));
    auto const doubt = [&](std::string const& text) {
        auto const doubts = parse_edl_cut(text, options).value().doubts;
        return doubts.empty() ? "" : doubts.front().what;
    };
    EXPECT_THAT(doubt(event), HasSubstr("read as non-drop"));
    options.footage_label = "00:00:00;00";
    EXPECT_EQ(cut(event, options), (std::vector<Frames>{{1802, 1803, 0, 1}}));
    EXPECT_THAT(doubt(event), HasSubstr("read as drop-frame"));
    EXPECT_EQ(cut("FCM: NON-DROP FRAME\n" + event, options), (std::vector<Frames>{{1804, 1805, 0, 1}}));
    options.rate = kPal;
    EXPECT_EQ(cut(event, options), (std::vector<Frames>{{1504, 1505, 0, 1}})) << "drop-frame exists at 29.97 alone";
    for (char const* sure : {"FCM: NON-DROP FRAME\n1 T V C 00:01:00:04 00:01:00:05 0 1\n",
                             "1 T V C 00;01;00;04 00;01;00;05 0 1\n", "1 T V C 00:00:59:04 00:00:59:05 0 1\n"})
        EXPECT_TRUE(parse_edl_cut(sure, at(kNtsc))->doubts.empty()) << sure;
}

TEST(EditListForms, ASpeedMayNameItsLabelInAnyForm)
{
    for (char const* label : {"", " 00:00:04:00", " 00;00;04;00", " 96"})
        EXPECT_EQ(cut(kFirst + "2 T V C 00:00:04:00 00:00:06:00 01:00:01:00 01:00:02:00\nM2 T 048.0" + label + "\n",
                      at(kFilm)),
                  (std::vector<Frames>{{0, 24, 0, 24}, {96, 144, 24, 48}}))
            << label;
}

TEST(EditListForms, LinesMayEndInAnyWay)
{
    std::string const lines[] = {"TITLE: X", "1\tT\tV\tC\t0\t5\t0\t5", "2 T V C 50 55 5 10"};
    for (char const* end : {"\n", "\r\n", "\r"})
        EXPECT_EQ(cut(lines[0] + end + lines[1] + end + lines[2] + end, at(kFilm)),
                  (std::vector<Frames>{{0, 5, 0, 5}, {50, 55, 5, 10}}));
    EXPECT_THAT(error_of(std::string("1\0 \0T\0", 6), at(kFilm)), HasSubstr("UTF-16"));
}

TEST(EditListForms, ClipNamesMayStandBeforeTheirEvents)
{
    CutOptions options = at(kPal);
    options.footage = "lantern.mp4";
    std::string const one = "1 AX V C 0 50 0 50\n";
    std::string const two = "2 AX V C 0 25 50 75\n";
    std::string const lantern = "* FROM CLIP NAME: lantern.mp4\n";
    std::string const other = "* FROM CLIP NAME: other.mov\n";
    std::vector<Frames> const expected{{0, 50, 0, 50}};
    EXPECT_EQ(cut(one + lantern + two + other, options), expected);
    EXPECT_EQ(cut(lantern + one + other + two, options), expected);
}

// Of the two lines of a transition the first goes on with what was seen, for half of it.
TEST(EditListForms, BothClipsOfATransitionAreNamed)
{
    CutOptions options = at(kPal);
    options.footage = "lantern.mp4";
    std::string const lantern = "lantern.mp4\n";
    std::string const other = "other.mov\n";
    auto const list = [](std::string const& first, std::string const& from, std::string const& to) {
        return "1 AX V C 0 50 0 50\n* FROM CLIP NAME: " + first + "2 AX V C 50 50 50 50\n2 AX V D 010 100 125 50 75\n" +
               "* FROM CLIP NAME: " + from + "* TO CLIP NAME: " + to +
               "3 AX V C 0 25 75 100\n* FROM CLIP NAME: " + from;
    };
    EXPECT_EQ(cut(list(lantern, lantern, other), options), (std::vector<Frames>{{0, 55, 0, 55}, {0, 25, 75, 100}}));
    EXPECT_EQ(cut(list(other, other, lantern), options), (std::vector<Frames>{{105, 125, 55, 75}}));
}

// The name under each line is that line's own: t.png is the key.
TEST(EditListForms, ABackgroundKeepsTheNameThatStandsUnderIt)
{
    CutOptions options = at(kPal);
    options.footage = "lantern.mp4";
    EXPECT_EQ(cut("1 LANTERN V C 0 25 0 25\n* FROM CLIP NAME: lantern.mp4\n2 LANTERN V K B 50 75 25 50\n"
                  "* FROM CLIP NAME: lantern.mp4\n2 TITLES V K 020 0 25 25 50\n* FROM CLIP NAME: t.png\n",
                  options),
              (std::vector<Frames>{{0, 25, 0, 25}, {50, 75, 25, 50}}));
}

TEST(EditListForms, WhatLiesAboveTheFirstTrackIsNamed)
{
    CutOptions options = at(kPal);
    options.footage = "lantern.mp4";
    std::string const above = "2 LANTERN V2 C 0 25 0 25\n* FROM CLIP NAME: lantern.mp4\n";
    EXPECT_THAT(
        error_of("1 BROLL V C 0 25 0 25\n* FROM CLIP NAME: hands.mov\n" + above, options),
        testing::AllOf(HasSubstr("draws on hands.mov"), HasSubstr("(only V1 is followed, not lantern.mp4 on V2)")));
}

// The second clip comes in from the fifth frame of the dissolve on, at normal speed or at twice that.
TEST(EditListForms, TheLabelOfASpeedSaysWhichLineOfAPairIsMeant)
{
    auto const list = [](std::string const& label) {
        return "1 T V C 25 75 0 25\nM2 T 050.0 25\n2 T V C 75 75 25 25\n2 T V D 010 100 125 25 50\nM2 T 050.0 " +
               label + "\n";
    };
    EXPECT_EQ(cut(list("75"), at(kPal)).back(), (Frames{105, 125, 30, 50}));
    EXPECT_EQ(cut(list("100"), at(kPal)).back(), (Frames{110, 150, 30, 50}));
}

TEST(EditListForms, ASpeedMayNameTheClip)
{
    EXPECT_EQ(cut("1 AX V C 50 100 0 25\nM2 lantern.mp4 050.0 00:00:02:00\n* FROM CLIP NAME: lantern.mp4\n", at(kPal)),
              (std::vector<Frames>{{50, 100, 0, 25}}));
    EXPECT_THAT(error_of("1 AX V C 50 100 0 25\nM2 lantern.mp4 050.0 00:00:03:00\n", at(kPal)),
                HasSubstr("M2 belongs"));
}

TEST(EditListForms, LabelsThatDropFramesAskForTheirRate)
{
    for (char const* list : {"FCM: DROP FRAME\n1 T V C 0 5 0 5\n", "1 T V C 00:00:01;00 00:00:02;00 0 25\n"})
        EXPECT_THAT(error_of(list, at(kPal)), HasSubstr("the rate here is 25. Give the list's own rate: --rate 29.97"));
}

TEST(EditListForms, NothingRunsBackwardsWithoutASpeed)
{
    CutOptions options = at(kPal);
    options.lenient = true;
    EXPECT_THAT(error_of("1 T V C 75 50 0 25\n", options),
                HasSubstr("the source ends before it begins in event 1 (line 1)"));
    EXPECT_EQ(cut("1 T V C 75 50 0 25\nM2 T -025.0 50\n", options),
              (std::vector<Frames>{{50, 75, 0, 25, Motion::reverse}}));
}

TEST(EditListForms, NothingLiesBeforeTheFilmsFirstFrame)
{
    CutOptions options = at(kPal);
    options.record_start = "01:00:01:00";
    EXPECT_THAT(
        error_of("1 T V C 0 50 01:00:00:00 01:00:02:00\n", options),
        HasSubstr(
            "the footage is seen before 01:00:01:00, which --record-start says is the film's first frame; the list "
            "begins at 01:00:00:00"));
    options.record_start = "00:59:59:00";
    EXPECT_EQ(cut("1 T V C 0 50 01:00:00:00 01:00:02:00\n", options), (std::vector<Frames>{{0, 50, 25, 75}}));
}

TEST(EditListForms, SoundOnTwoTracksIsOneShot)
{
    EXPECT_EQ(cut("1 T A C 0 25 0 25\n1 T A2 C 0 25 0 25\n2 T A C 50 75 25 50\n2 T A2 C 50 75 25 50\n", at(kPal)),
              (std::vector<Frames>{{0, 25, 0, 25}, {50, 75, 25, 50}}));
}

// 47.6 of 25 frames a second in 10 frames are 19.04, not 3.
TEST(EditListForms, WhatOtherSourcesShowNeedNotAgreeWithItsSpeed)
{
    std::string const text = "1 LANTERN V C 0 50 0 50\n2 OTHER V C 0 3 50 60\nM2 OTHER 047.6 00:00:00:00\n";
    CutOptions options = at(kPal);
    options.source = "LANTERN";
    EXPECT_EQ(cut(text, options), (std::vector<Frames>{{0, 50, 0, 50}}));
    options.source = "OTHER";
    EXPECT_THAT(error_of(text, options),
                HasSubstr("event 2 (line 2): source 3 frames, new film 10, which its speed (line 3) makes 19 of"));
}

TEST(EditListForms, OtherSourcesAreNamedUpToTen)
{
    std::string text = "1 LANTERN V C 0 5 0 5\n";
    for (int i = 0; i < 12; ++i)
        text += fmt::format("{} R{:02} V C 0 5 {} {}\n", i + 2, i, 5 * i + 5, 5 * i + 10);
    CutOptions options = at(kPal);
    options.source = "LANTERN";
    EXPECT_THAT(remarks_of(text, options), testing::Contains(testing::EndsWith("R08, R09 and 2 more")));
}

// The film begins at 23:59:58:00 and is 4 s long: 100 frames.
TEST(EditListAcrossMidnight, IsOneFilm)
{
    std::vector<Frames> const apart{{0, 50, 0, 50}, {250, 300, 50, 100}};
    std::string const evening = "1 T V C 00:00:00:00 00:00:02:00 23:59:58:00 {}\n";
    std::string const morning = "2 T V C 00:00:10:00 00:00:12:00 {} 00:00:02:00\n";
    for (char const* midnight : {"00:00:00:00", "24:00:00:00"}) {
        std::string const first = fmt::format(fmt::runtime(evening), midnight);
        std::string const second = fmt::format(fmt::runtime(morning), "00:00:00:00");
        EXPECT_EQ(cut(first + second, at(kPal)), apart);
        EXPECT_EQ(cut(second + first, at(kPal)), apart) << "in whatever order the list is";
        EXPECT_EQ(parse_edl_cut(first + second, at(kPal))->new_length, from_frame(100, kPal));
        EXPECT_THAT(remarks_of(first + second, at(kPal)), testing::Contains(HasSubstr("pass midnight")));
    }
    EXPECT_EQ(cut("1 T V C 00:00:00:00 00:00:04:00 23:59:58:00 00:00:02:00\n", at(kPal)),
              (std::vector<Frames>{{0, 100, 0, 100}}));
}

// SMPTE ST 12-1: a day has 2589408 frames drop-frame; 23:59:58;00 is its 60th but last.
TEST(EditListAcrossMidnight, CountsTheDayByItsFrameCode)
{
    EXPECT_EQ(cut("FCM: DROP FRAME\n1 T V C 0 60 23:59:58:00 00:00:00:00\n2 T V C 90 120 00:00:00:00 00:00:01:00\n",
                  at(kNtsc)),
              (std::vector<Frames>{{0, 60, 0, 60}, {90, 120, 60, 90}}));
}

TEST(EditListAcrossMidnight, FollowsFootageThatWasFilmedAcrossIt)
{
    CutOptions options = at(kPal);
    options.footage_label = "23:59:50:00";
    options.footage_length = from_frame(1000, kPal);
    std::vector<Frames> const expected{{200, 300, 0, 100}, {350, 375, 100, 125}};
    EXPECT_EQ(cut("1 T V C 23:59:58:00 00:00:02:00 0 100\n2 T V C 00:00:04:00 00:00:05:00 100 125\n", options),
              expected);
}

TEST(EditListAcrossMidnight, LeavesAllOtherListsAsTheyAre)
{
    std::string const text = "1 T V C 0 25 01:00:00:00 01:00:01:00\n2 T V C 50 75 11:00:00:00 11:00:01:00\n";
    EXPECT_EQ(cut(text, at(kPal)).back(), (Frames{50, 75, 900000, 900025}));
    EXPECT_THAT(remarks_of(text, at(kPal)), testing::IsEmpty());
    EXPECT_THAT(error_of("1 T V C 0 25 02:00:01:00 02:00:00:00\n", at(kPal)), HasSubstr("ends before it begins"));
}

} // namespace
} // namespace tabard::pipeline
