#include "cut_frames.h"
#include "pipeline/retime/edl_cut.h"

#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>

namespace tabard::pipeline {
namespace {

using testing::HasSubstr;

CutOptions at(FrameRate rate)
{
    CutOptions options;
    options.rate = rate;
    options.source_start = "";
    return options;
}

constexpr FrameRate kFilm{24, 1};
constexpr FrameRate kPal{25, 1};
constexpr FrameRate kNtsc{30000, 1001};

CutOptions of_tape()
{
    CutOptions options = at(kFilm);
    options.source = "TAPE";
    return options;
}

std::vector<Frames> cut(std::string const& text, CutOptions const& options)
{
    auto const reading = parse_edl_cut(text, options);
    EXPECT_TRUE(reading) << (reading ? "" : reading.error().what);
    return reading ? in_frames(reading->map, *options.rate) : std::vector<Frames>{};
}

std::string error_of(std::string const& text, CutOptions const& options)
{
    auto const reading = parse_edl_cut(text, options);
    return reading ? "understood" : reading.error().what;
}

// Out points are exclusive (SMPTE 258M): 161, 200, 86 and 49 frames at 25 frames a second, :24 is the last label of a
// second. The labels are those lengths added up by hand.
TEST(EditList, OutPointsAreTheFirstFrameThatIsNotShown)
{
    std::string const text = "TITLE: FOUR CUTS\nFCM: NON-DROP FRAME\n\n"
                             "001  LANTERN  V     C        00:00:10:00 00:00:16:11 01:00:00:00 01:00:06:11\n"
                             "002  LANTERN  V     C        00:01:00:24 00:01:08:24 01:00:06:11 01:00:14:11\n"
                             "003  LANTERN  V     C        00:00:20:00 00:00:23:11 01:00:14:11 01:00:17:22\n"
                             "004  LANTERN  V     C        00:02:00:00 00:02:01:24 01:00:17:22 01:00:19:21\n";
    std::vector<Frames> const expected{
        {250, 250 + 161, 0, 161}, {1524, 1524 + 200, 161, 361}, {500, 586, 361, 447}, {3000, 3049, 447, 496}};
    EXPECT_EQ(cut(text, at(kPal)), expected);
    EXPECT_EQ(parse_edl_cut(text, at(kPal))->new_length, from_frame(496, kPal));
}

// Three shots of 24 frames with record gaps of 16 and 38: 126 in all.
TEST(EditList, GapsInTheRecordAreNewMaterial)
{
    std::string const text = "001  TAPE V C 00:00:01:00 00:00:02:00 01:00:00:00 01:00:01:00\n"
                             "002  TAPE V C 00:00:04:00 00:00:05:00 01:00:01:16 01:00:02:16\n"
                             "003  TAPE V C 00:00:08:00 00:00:09:00 01:00:04:06 01:00:05:06\n";
    std::vector<Frames> const expected{{24, 48, 0, 24}, {96, 120, 40, 64}, {192, 216, 102, 126}};
    EXPECT_EQ(cut(text, at(kFilm)), expected);
}

TEST(EditList, ReadsWhatOtherProgramsWrite)
{
    // Carriage returns, six-digit numbers that jump, comments with and without star, blank and white lines.
    std::string const text =
        "TITLE: X\r\nFCM: NON-DROP FRAME\r\n   \r\n"
        "000001  TAPE01.A B C  00:00:01:00 00:00:02:00 01:00:00:00 01:00:01:00\r\n"
        "*FROM CLIP NAME:lantern.mp4\r\nFROM CLIP NAME: lantern.mp4\r\n* LOC: 01:00:00:10 RED x\r\n"
        "* ASC_SAT 0.9\r\nEFFECTS NAME IS NOTHING\r\n\r\n"
        "000060  TAPE01.A AA/V C  00:00:02:00 00:00:03:00 01:00:01:00 01:00:02:00\r\n"
        "AUD  3\r\n"
        "000061  TAPE01.A A2 C  00:00:00:00 00:00:09:00 01:00:00:00 01:00:09:00";
    std::vector<Frames> const expected{{24, 72, 0, 48}};
    EXPECT_EQ(cut(text, at(kFilm)), expected);
}

// A 10-frame dissolve from A (9 frames before it) to B (10 frames, then 1): the pair shares a number, its first line is
// a cut of no length, the dissolve begins at the second line's record-in. The middle is 5 frames later.
std::string dissolve(std::string const& second_number, std::string const& kind = "D    010")
{
    return "001  TAPE V C 00:00:04:05 00:00:04:14 01:00:00:00 01:00:00:09\n"
           "002  TAPE V C 00:00:04:14 00:00:04:14 01:00:00:09 01:00:00:09\n" +
           second_number + "  TAPE V " + kind +
           " 00:00:08:04 00:00:08:14 01:00:00:09 01:00:00:19\n"
           "* FROM CLIP NAME: lantern.mp4\n* TO CLIP NAME: lantern.mp4\n"
           "003  TAPE V C 00:00:08:14 00:00:08:15 01:00:00:19 01:00:00:20\n";
}

TEST(EditList, ADissolveFollowsTheOutgoingPictureUntilItsMiddle)
{
    std::vector<Frames> const expected{{101, 101 + 14, 0, 14}, {196 + 5, 196 + 11, 14, 20}};
    EXPECT_EQ(cut(dissolve("002"), at(kFilm)), expected);
    EXPECT_EQ(cut(dissolve("002", "W001 010"), at(kFilm)), expected);
}

TEST(EditList, TheLinesOfATransitionShareTheirNumber)
{
    EXPECT_THAT(error_of(dissolve("012"), at(kFilm)), HasSubstr("event 002 (line 2) and event 012 (line 3)"));
}

// A, 30 frames; dissolve of 35 to B, 51 long; dissolve of 64 to C, 81 long; half of 35 is rounded down to 17.
TEST(EditList, DissolvesFollowOneAnother)
{
    std::string const text = "001 T V C     00:00:10:00 00:00:11:06 00:00:00:00 00:00:01:06\n"
                             "002 T V C     00:00:11:06 00:00:11:06 00:00:01:06 00:00:01:06\n"
                             "002 T V D 035 00:00:20:00 00:00:22:03 00:00:01:06 00:00:03:09\n"
                             "060 T V C     00:00:22:03 00:00:22:03 00:00:03:09 00:00:03:09\n"
                             "060 T V D 064 00:00:40:00 00:00:43:09 00:00:03:09 00:00:06:18\n";
    std::vector<Frames> const expected{
        {240, 240 + 47, 0, 47}, {480 + 17, 480 + 51 + 32, 47, 81 + 32}, {960 + 32, 960 + 81, 113, 162}};
    EXPECT_EQ(cut(text, at(kFilm)), expected);
}

// Another reel was on screen before it: the first line of the pair alone says what is seen, and runs on as it was
// filmed for the half of 24 frames.
TEST(EditList, ADissolveLeadsOverFromWhatItsFirstLineNames)
{
    std::string const pair = "002 TAPE V C     00:00:10:00 00:00:10:00 01:00:01:00 01:00:01:00\n"
                             "002 TAPE V D 024 00:00:20:00 00:00:22:00 01:00:01:00 01:00:03:00\n";
    std::vector<Frames> const expected{{240, 252, 24, 36}, {480 + 12, 528, 36, 72}};
    EXPECT_EQ(cut("001 OTHER V C 00:00:05:00 00:00:06:00 01:00:00:00 01:00:01:00\n" + pair, of_tape()), expected);
    std::vector<Frames> const from_the_start{{240, 252, 0, 12}, {480 + 12, 528, 12, 48}};
    EXPECT_EQ(cut(pair, of_tape()), from_the_start);
}

TEST(EditList, BlackAndBarsAreNoFootage)
{
    std::string const text = "001 BARS V C 00:00:00:00 00:00:01:00 00:59:58:00 00:59:59:00\n"
                             "002 BL   V C 00:00:00:00 00:00:01:00 00:59:59:00 01:00:00:00\n"
                             "003 TAPE V C 00:00:05:00 00:00:06:00 01:00:00:00 01:00:01:00\n"
                             "004 BL   V C 00:00:00:00 00:00:00:00 01:00:01:00 01:00:01:00\n"
                             "004 TAPE V D 024 00:00:09:00 00:00:10:00 01:00:01:00 01:00:02:00\n";
    // Out of black the picture is followed from the middle of the dissolve on.
    std::vector<Frames> const expected{{120, 144, 48, 72}, {216 + 12, 240, 84, 96}};
    EXPECT_EQ(cut(text, at(kFilm)), expected);
    CutOptions from_the_hour = at(kFilm);
    from_the_hour.record_start = "01:00:00:00";
    EXPECT_EQ(cut(text, from_the_hour).front(), (Frames{120, 144, 0, 24}));
}

CutOptions of(std::string footage, std::string reel = "")
{
    CutOptions options = at(kFilm);
    options.footage = std::move(footage);
    options.source = std::move(reel);
    return options;
}

// 24 frames of the footage, 24 of something else, 24 of the footage.
TEST(EditList, FootageThatIsCalledLikeBlackIsFollowed)
{
    for (std::string const name : {"bars", "black", "bl"}) {
        std::string const text =
            fmt::format("1 {0} V C 48 72 0 24\n2 OTHER V C 0 24 24 48\n3 {0} V C 96 120 48 72\n", name);
        std::vector<Frames> const expected{{48, 72, 0, 24}, {96, 120, 48, 72}};
        EXPECT_EQ(cut(text, of(name + ".mp4")), expected) << name;
        EXPECT_EQ(cut(text, of("lantern.mp4", name)), expected) << name;
        EXPECT_EQ(cut(text, of("other.mp4")), (std::vector<Frames>{{0, 24, 24, 48}})) << name;
        // Black lies between what has a name.
        std::string const clips =
            fmt::format("1 BL V C 48 72 0 24\n* FROM CLIP NAME: {}.mp4\n2 BL V C 0 24 24 48\n", name);
        EXPECT_EQ(cut(clips, of(name + ".mp4")), (std::vector<Frames>{{48, 72, 0, 24}})) << name;
    }
    EXPECT_THAT(error_of("1 BL V C 0 24 0 24\n2 BARS V C 0 24 24 48\n", of("lantern.mp4")),
                HasSubstr("nothing but black or generated picture (BL (1 shot), BARS (1 shot))"));
}

// The labels of the footage lie ten hours and five seconds after midnight: frame 864120.
TEST(EditList, FootageThatIsCalledLikeBlackIsCountedByItsOwnTimecode)
{
    CutOptions options = of("bars.mp4");
    options.footage_label = "10:00:05:00";
    options.footage_length = from_frame(500, kFilm);
    EXPECT_EQ(cut("1 BARS V C 10:00:06:00 10:00:07:00 0 24\n", options), (std::vector<Frames>{{24, 48, 0, 24}}));
}

TEST(EditList, TakesOnOneReelAreToldByTheirClipsAndFiles)
{
    std::string const first = "1 LANTERNO V C 48 72 0 24\n* FROM CLIP NAME: {}\n";
    std::string const second = "2 LANTERNO V C 96 120 24 48\n* FROM CLIP NAME: {}\n";
    auto const list = [&](std::string const& one, std::string const& other) {
        return fmt::format(fmt::runtime(first + second), one, other);
    };
    CutOptions const options = of("lantern on the quay.mp4");
    std::vector<Frames> const expected{{48, 72, 0, 24}};
    EXPECT_EQ(cut(list("lantern on the quay.mp4", "lantern on the quay 2.mp4"), options), expected);
    EXPECT_EQ(cut(list("Lantern on the Quay", "Lantern on the Quay (take 2)"), options), expected);
    EXPECT_EQ(cut(list("verse\n* SOURCE FILE: /x/lantern on the quay.mp4", "chorus\n* SOURCE FILE: /x/b.mp4"), options),
              expected);
    EXPECT_EQ(cut(list("lantern on the quay.mp4", "lantern on the quay.mp4"), options).size(), 2U);
    EXPECT_EQ(
        cut(list("lantern on the quay 2.mp4", "lantern on the quay 3.mp4"), of(options.footage, "LANTERNO")).size(),
        2U);
    EXPECT_THAT(error_of(list("lantern on the quay 2.mp4", "lantern on the quay 3.mp4"), options), HasSubstr("--reel"));
    // A clip that is named once names its reel.
    EXPECT_EQ(cut("1 LANTERNO V C 48 72 0 24\n" + fmt::format(fmt::runtime(second), "lantern on the quay.mp4"), options)
                  .size(),
              2U);
}

TEST(EditList, AStrangerIsTheFootageWhereItHasItsTimecode)
{
    std::string const text =
        "1 A001C003 V C 10:23:14:12 10:23:15:12 0 24\n2 A001C004 V C 10:41:00:00 10:41:01:00 24 48\n";
    CutOptions options = of("lantern.mp4");
    options.footage_length = from_frame(500, kFilm);
    EXPECT_THAT(error_of(text, options), HasSubstr("A001C003 (1 shot), A001C004 (1 shot) and none is called like"));
    options.footage_label = "10:23:14:00";
    EXPECT_EQ(cut(text, options), (std::vector<Frames>{{12, 36, 0, 24}}));
    options.footage_label = "10:00:00:00"; // any camera may begin so
    options.footage_length = from_frame(24 * 3600, kFilm);
    EXPECT_THAT(error_of(text, options), HasSubstr("none is called like"));
}

// M2 000.0: one source frame shown for 17. M2 047.6 at 24 is 1.98333 times as fast, whatever the 70 frames of the
// labels in 36 of the record say: 71.4 frames.
TEST(EditList, AFreezeHoldsAndASpeedRunsBetweenTheRecordPoints)
{
    std::string const text = "000001  T V C 00:00:10:21 00:00:10:22 01:00:00:00 01:00:00:17\n"
                             "M2   T       000.0                00:00:10:21\n* * FREEZE FRAME\n"
                             "000002  T V C 00:00:20:00 00:00:22:22 01:00:00:17 01:00:02:05\n"
                             "M2   T       047.6                00:00:20:00\n";
    std::vector<Frames> const expected{{261, 261, 0, 17, Motion::freeze}, {480, 551, 17, 53}};
    EXPECT_EQ(cut(text, at(kFilm)), expected);
    EXPECT_EQ(parse_edl_cut(text, at(kFilm))->map.spans()[1].speed(), (Speed{119, 60}));
}

// 18 frames at 29.9 a second are 22.4 of 24; the labels say 23.
TEST(EditList, RecordPointsAndTheSpeedWinOverTheSourceOutPoint)
{
    std::string const text = "001 T V C 00:00:10:00 00:00:10:23 00:00:00:00 00:00:00:18\nM2 T 029.9 00:00:10:00\n";
    EXPECT_EQ(cut(text, at(kFilm)), (std::vector<Frames>{{240, 262, 0, 18}}));
}

TEST(EditList, ASpeedSaysHowLongASourceIsThatTheListLeftAtItsRecordLength)
{
    std::string const text = "001 T V C 00:00:10:00 00:00:11:00 00:00:00:00 00:00:01:00\nM2 T 048.0 00:00:10:00\n"
                             "002 T V C 00:00:20:00 00:00:21:00 00:00:01:00 00:00:02:00\nM2 T -024.0 00:00:20:00\n";
    std::vector<Frames> const expected{{240, 288, 0, 24}, {480, 504, 24, 48, Motion::reverse}};
    EXPECT_EQ(cut(text, at(kFilm)), expected);
    EXPECT_THAT(parse_edl_cut(text, at(kFilm))->remarks, testing::Contains(HasSubstr("run backwards")));
}

// What a program writes: the speed with one decimal, lengths in whole frames. 0.05 of 24 in 5000 frames are ten frames.
TEST(EditList, ASpeedWrittenWithOneDecimalAgreesWithItsLengths)
{
    EXPECT_TRUE(rc::check([] {
        auto const lengths = rc::gen::resize(rc::kNominalSize, rc::gen::inRange<std::int64_t>(1, 5001));
        std::int64_t const source = *lengths;
        std::int64_t const record = *lengths;
        double const speed = 24.0 * static_cast<double>(source) / static_cast<double>(record);
        RC_PRE(speed >= 0.1);
        std::string const text =
            fmt::format("1 T V C 100 {} 0 {}\nM2 T {:05.1f} 00:00:04:04\n", 100 + source, record, speed);
        RC_LOG() << text;
        auto const reading = parse_edl_cut(text, at(kFilm));
        RC_ASSERT(reading.has_value());
        RC_ASSERT(in_frames(reading->map, kFilm) == (std::vector<Frames>{{100, 100 + source, 0, record}}));
    }));
}

// At normal speed 250 frames take 250: one is off by the frame, one more in 250 by the decimal.
// 1 frame in 481 at 24 a second is 0.0499 a second, which a list cannot say.
TEST(EditList, OfTheSlowestSpeedTheLabelsSayMore)
{
    std::string const text = "1 T V C 1 2 0 481\nM2 T 000.1 1\n";
    EXPECT_EQ(cut(text, at(kFilm)), (std::vector<Frames>{{1, 2, 0, 481}}));
    EXPECT_EQ(parse_edl_cut(text, at(kFilm))->map.spans()[0].speed(), (Speed{1, 481}));
}

TEST(EditList, ASpeedThatIsFurtherFromItsLengthsIsRefused)
{
    auto const list = [](int source, int record) {
        return fmt::format("1 T V C 0 {} 0 {}\nM2 T 024.0 00:00:00:00\n", source, record);
    };
    EXPECT_EQ(error_of(list(252, 250), at(kFilm)), "understood");
    EXPECT_EQ(error_of(list(248, 250), at(kFilm)), "understood");
    EXPECT_EQ(error_of(list(250, 249), at(kFilm)), "understood");
    for (auto const& [source, record] : {std::pair{253, 250}, {247, 250}, {251, 249}})
        EXPECT_THAT(error_of(list(source, record), at(kFilm)), HasSubstr("disagree"));
}

TEST(EditList, TenThatDisagreeAreNamedAndTheOthersCounted)
{
    auto const error_of_list = [](int events) {
        std::string text;
        for (int i = 0; i < events; ++i)
            text += fmt::format("{} T V C 0 5 {} {}\n", i + 1, 10 * i, 10 * i + 10);
        return error_of(text, at(kFilm));
    };
    EXPECT_THAT(error_of_list(10), testing::AllOf(HasSubstr("event 10 "), testing::Not(HasSubstr("more"))));
    EXPECT_THAT(error_of_list(12),
                testing::AllOf(HasSubstr("event 10 "), HasSubstr(" and 2 more"), testing::Not(HasSubstr("event 11 "))));
}

TEST(EditList, SourceAndRecordThatDisagreeAreRefusedByName)
{
    // 49 source frames in 47 of the record, and 31 in 56.
    std::string const text = "001 T V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n"
                             "002 T V C 00:00:17:22 00:00:19:21 00:00:01:00 00:00:02:22\n"
                             "003 T V C 00:00:30:00 00:00:31:06 00:00:02:22 00:00:05:03\n";
    EXPECT_THAT(error_of(text, at(kPal)),
                testing::AllOf(HasSubstr("event 002 (line 2): source 49 frames, new film 47"),
                               HasSubstr("event 003 (line 3): source 31 frames, new film 56"), HasSubstr("--lenient")));
    CutOptions lenient = at(kPal);
    lenient.lenient = true;
    std::vector<Frames> const expected{{0, 25, 0, 25}, {447, 447 + 47, 25, 72}, {750, 806, 72, 128}};
    EXPECT_EQ(cut(text, lenient), expected);
}

// SMPTE ST 12-1 drop-frame at 30000/1001: frame 1799 is 00:00:59;29 and frame 1800 is 00:01:00;02; minutes divisible by
// ten leave nothing out: frame 17981 is 00:09:59;29, frame 17982 is 00:10:00;00; an hour has 107892 frames.
TEST(DropFrameEditList, CrossesTheMinuteAndTheTenthMinute)
{
    std::string const text = "FCM: DROP FRAME\n"
                             "001 T V C 00:00:59;28 00:01:00;04 01:00:59;28 01:01:00;04\n"
                             "002 T V C 00:09:59;28 00:10:00;02 01:01:00;04 01:01:00;08\n";
    std::vector<Frames> const expected{{1798, 1802, 0, 4}, {17980, 17984, 4, 8}};
    EXPECT_EQ(cut(text, at(kNtsc)), expected);
}

TEST(DropFrameEditList, CountsByItsFrameCodeLineWhereLabelsHaveColons)
{
    std::string const lines = "001 T V C 00:00:59:28 00:01:00:04 01:00:59:28 01:01:00:04\n";
    EXPECT_EQ(cut("FCM: DROP FRAME\n" + lines, at(kNtsc)), (std::vector<Frames>{{1798, 1802, 0, 4}}));
    EXPECT_EQ(cut("FCM: NON-DROP FRAME\n" + lines, at(kNtsc)), (std::vector<Frames>{{1798, 1804, 0, 6}}));
}

TEST(DropFrameEditList, MayChangeItsFrameCodeBetweenTheLinesOfAPair)
{
    // Non-drop 00:01:00:04 is frame 1804; drop-frame 00:01:00;04 is frame 1802, and 00:00:02:00 is frame 60 in both.
    std::string const text = "FCM: NON-DROP FRAME\n"
                             "001 T V C     00:01:00:00 00:01:00:04 00:00:01:26 00:00:02:00\n"
                             "002 T V C     00:01:00:04 00:01:00:04 00:00:02:00 00:00:02:00\n"
                             "FCM: DROP FRAME\n"
                             "002 T V D 004 00:01:00:04 00:01:00:14 00:00:02:00 00:00:02:10\n";
    std::vector<Frames> const expected{{1800, 1806, 0, 6}, {1804, 1812, 6, 14}};
    EXPECT_EQ(cut(text, at(kNtsc)), expected);
}

// SMPTE ST 12-1: 29.97 and 59.94 frames a second.
TEST(DropFrameEditList, IsThereAtItsTwoRatesAlone)
{
    std::string const text = "FCM: DROP FRAME\n001 T V C 0 5 0 5\n";
    for (FrameRate const rate : {kNtsc, FrameRate{60000, 1001}})
        EXPECT_EQ(cut(text, at(rate)), (std::vector<Frames>{{0, 5, 0, 5}}));
    for (FrameRate const rate : {kFilm, kPal, FrameRate{30, 1}, FrameRate{60, 1}, FrameRate{24000, 1001}})
        EXPECT_THAT(error_of(text, at(rate)), HasSubstr("line 1: the list says drop-frame"));
}

TEST(DropFrameEditList, RefusesLabelsThatNoFrameHas)
{
    std::string const text = "FCM: DROP FRAME\n\n001 T V C 00:01:00;00 00:01:00;04 00:00:00;00 00:00:00;04\n";
    EXPECT_THAT(error_of(text, at(kNtsc)), testing::AllOf(HasSubstr("line 3"), HasSubstr("00:01:00;02")));
    EXPECT_THAT(error_of(text, at(kPal)), testing::AllOf(HasSubstr("line 1"), HasSubstr("25")));
    EXPECT_THAT(error_of("001 T V C 00:00:00:25 00:00:01:00 00:00:00:00 00:00:00:00", at(kPal)), HasSubstr("line 1"));
}

TEST(EditList, AsksWhichReelIsTheFootage)
{
    std::string const text = "001 LANTERN V C 00:00:00:00 00:00:02:00 01:00:00:00 01:00:02:00\n"
                             "002 SPONSOR V C 00:00:00:00 00:00:01:00 01:00:02:00 01:00:03:00\n"
                             "003 LANTERN V C 00:00:02:00 00:00:04:00 01:00:03:00 01:00:05:00\n";
    EXPECT_THAT(error_of(text, at(kPal)),
                testing::AllOf(HasSubstr("LANTERN (2 shots), SPONSOR (1 shot)"), HasSubstr("--reel")));
    std::vector<Frames> const expected{{0, 50, 0, 50}, {50, 100, 75, 125}};
    CutOptions by_reel = at(kPal);
    by_reel.source = "lantern";
    EXPECT_EQ(cut(text, by_reel), expected);
    CutOptions by_footage = at(kPal);
    by_footage.footage = "lantern.mp4";
    EXPECT_EQ(cut(text, by_footage), expected);
    by_reel.source = "other";
    EXPECT_THAT(error_of(text, by_reel), HasSubstr("nothing in the cut is called 'other'"));
}

TEST(EditList, KnowsFilesByTheirClipNamesWhereAllReelsAreCalledAX)
{
    std::string const text =
        "001 AX V C 00:00:00:00 00:00:02:00 01:00:00:00 01:00:02:00\n* FROM CLIP NAME: lantern.mp4\n"
        "002 AX V C 00:00:00:00 00:00:01:00 01:00:02:00 01:00:03:00\n* FROM CLIP NAME: sponsor.mov\n";
    CutOptions options = at(kPal);
    options.footage = "lantern.mp4";
    EXPECT_EQ(cut(text, options), (std::vector<Frames>{{0, 50, 0, 50}}));
    EXPECT_EQ(parse_edl_cut(text, options)->new_length, from_frame(75, kPal));
}

// Five of ten frames are still the outgoing clip's.
TEST(EditList, TheClipsOfADissolveAreNamedFromAndTo)
{
    std::string const text = "1 AX V C 0 24 0 24\n* FROM CLIP NAME: {0}\n"
                             "2 AX V C 24 24 24 24\n2 AX V D 010 50 74 24 48\n"
                             "* FROM CLIP NAME: {0}\n* TO CLIP NAME: {1}\n";
    CutOptions options = at(kFilm);
    options.footage = "lantern.mp4";
    EXPECT_EQ(cut(fmt::format(fmt::runtime(text), "lantern.mp4", "other.mov"), options),
              (std::vector<Frames>{{0, 29, 0, 29}}));
    EXPECT_EQ(cut(fmt::format(fmt::runtime(text), "other.mov", "lantern.mp4"), options),
              (std::vector<Frames>{{55, 74, 29, 48}}));
}

TEST(EditList, WithoutPictureFollowsTheSound)
{
    std::string const text = "001 T AA C 00:00:10:00 00:00:20:00 01:00:00:00 01:00:10:00\nAUD 3\n";
    EXPECT_EQ(cut(text, at(kFilm)), (std::vector<Frames>{{240, 480, 0, 240}}));
    EXPECT_THAT(parse_edl_cut(text, at(kFilm))->remarks, testing::Contains(HasSubstr("no video track")));
}

TEST(EditList, RemarksOnWhatIsNotFollowedAndOnNothingElse)
{
    std::string const plain = "001 T V C 0 24 0 24\n002 T V C 48 72 24 48\n";
    EXPECT_THAT(parse_edl_cut(plain, at(kFilm))->remarks, testing::IsEmpty());
    std::string const key = "003 T V K 010 90 110 4 24\n";
    std::string const above = "004 T V2 C 90 110 4 24\n";
    EXPECT_THAT(parse_edl_cut(plain + key, at(kFilm))->remarks,
                testing::ElementsAre("1 key event laid over the picture, not followed"));
    EXPECT_THAT(parse_edl_cut(plain + above, at(kFilm))->remarks,
                testing::ElementsAre("only V1 is followed, not T on V2"));
    EXPECT_THAT(
        parse_edl_cut(plain + key + key + above + above, at(kFilm))->remarks,
        testing::ElementsAre("2 key events laid over the picture, not followed", "only V1 is followed, not T on V2"));
    EXPECT_EQ(cut(plain + key + above, at(kFilm)), cut(plain, at(kFilm)));
}

TEST(EditList, MayCountInBareFrames)
{
    EXPECT_EQ(cut("1 CLPA V C 113 170 0 57\n", at(kFilm)), (std::vector<Frames>{{113, 170, 0, 57}}));
}

TEST(EditList, SourceLabelsCountFromTheFootagesFirstPicture)
{
    std::string const text = "001 T V C 10:00:04:00 10:00:05:00 01:00:00:00 01:00:01:00\n";
    CutOptions options = at(kPal);
    options.footage_length = from_frame(500, kPal);
    EXPECT_THAT(error_of(text, options), HasSubstr("--source-start"));
    options.source_start = "10:00:00:00";
    EXPECT_EQ(cut(text, options), (std::vector<Frames>{{100, 125, 0, 25}}));
}

// The footage has the labels 10:00:00:00 to 10:00:19:24.
TEST(EditList, CountsByTheCameraFromItsFirstPictureToItsLast)
{
    CutOptions options = at(kPal);
    options.footage_length = from_frame(500, kPal);
    options.footage_label = "10:00:00:00";
    EXPECT_EQ(cut("1 T V C 10:00:00:00 10:00:00:05 0 5\n", options), (std::vector<Frames>{{0, 5, 0, 5}}));
    EXPECT_EQ(cut("1 T V C 10:00:19:24 10:00:20:00 0 1\n", options), (std::vector<Frames>{{499, 500, 0, 1}}));
    EXPECT_THAT(error_of("1 T V C 10:00:20:00 10:00:20:01 0 1\n", options), HasSubstr("--source-start"));
    EXPECT_THAT(error_of("1 T V C 09:59:59:24 10:00:00:00 0 1\n", options), HasSubstr("--source-start"));
    std::string const black = "1 BL V C 10:00:04:00 10:00:04:05 0 5\n";
    EXPECT_EQ(cut(black + "2 T V C 00:00:04:00 00:00:04:05 5 10\n", options), (std::vector<Frames>{{100, 105, 5, 10}}))
        << "black is no footage, whatever its labels";
}

TEST(EditList, CountsByTheTimecodeThatTheCameraWroteWhereTheListDoes)
{
    CutOptions options = at(kPal);
    options.footage_length = from_frame(500, kPal);
    options.footage_label = "10:00:00:00";
    std::vector<Frames> const expected = {{100, 125, 0, 25}};
    EXPECT_EQ(cut("001 T V C 10:00:04:00 10:00:05:00 01:00:00:00 01:00:01:00\n", options), expected);
    EXPECT_EQ(cut("001 T V C 00:00:04:00 00:00:05:00 01:00:00:00 01:00:01:00\n", options), expected);
    options.source_start = "00:00:02:00"; // what a person says goes before
    EXPECT_EQ(cut("001 T V C 00:00:06:00 00:00:07:00 01:00:00:00 01:00:01:00\n", options), expected);
    options.source_start = "";
    options.footage_label = "no timecode";
    EXPECT_EQ(cut("001 T V C 00:00:04:00 00:00:05:00 01:00:00:00 01:00:01:00\n", options), expected);
}

TEST(EditList, KnowsPictureBySeveralNamesOfTracks)
{
    std::string const other = "1 T V C 0 5 0 5\n";
    for (char const* track : {"V", "v", "V1", "B", "AA/V", "A2/V", "NONE/V", "V/A3"})
        EXPECT_EQ(cut(other + fmt::format("2 T {} C 50 55 5 10\n", track), at(kFilm)).back(), (Frames{50, 55, 5, 10}))
            << track;
    for (char const* track : {"A", "A2", "AA", "A12", "A/A2", "NONE", "V2", "V02", "V99"})
        EXPECT_EQ(cut(other + fmt::format("2 T {} C 50 55 5 10\n", track), at(kFilm)).size(), 1U) << track;
    for (char const* track : {"VX", "V123", "AX", "V/", "/V", "Q/V", "BB", "AAA"})
        EXPECT_THAT(error_of(fmt::format("1 T {} C 0 5 0 5\n", track), at(kFilm)), HasSubstr("is no track")) << track;
}

TEST(EditList, ATransitionIsAtMostAsLongAsItsEvent)
{
    std::string const before = "1 T V C 0 24 0 24\n2 T V C 24 24 24 24\n";
    EXPECT_EQ(cut(before + "2 T V D 024 50 74 24 48\n", at(kFilm)),
              (std::vector<Frames>{{0, 36, 0, 36}, {62, 74, 36, 48}}));
    EXPECT_THAT(error_of(before + "2 T V D 025 50 74 24 48\n", at(kFilm)),
                HasSubstr("line 3: event 2 lasts 24 frames and its transition 25"));
}

TEST(EditList, ReadsSpeedsWithAndWithoutLabelAndDecimals)
{
    std::string const event = "1 MY TAPE V C 100 112 0 24\n";
    for (char const* speed : {"012.0", "12", "12.", "+12.0", "012.000000", "12.0 00:00:04:04"})
        EXPECT_EQ(cut(event + "M2 my tape " + speed + "\n", at(kFilm)), (std::vector<Frames>{{100, 112, 0, 24}}))
            << speed;
    EXPECT_EQ(cut(event + "M2 MY TAPE -012.0 00:00:04:04\n", at(kFilm)),
              (std::vector<Frames>{{100, 112, 0, 24, Motion::reverse}}));
    for (char const* speed : {"fast", "12.0000001", "1234567", "1.x", "-", ".5", "00:00:04:04"})
        EXPECT_THAT(error_of(event + "M2 MY TAPE " + speed + "\n", at(kFilm)), HasSubstr("is no speed")) << speed;
    EXPECT_THAT(error_of(event + "M2 12.0\n", at(kFilm)), HasSubstr("line 2: M2 names a reel"));
    EXPECT_THAT(error_of("1 T V C 0 24 0 24\nM2 T 00:00:00:00\n", at(kFilm)),
                HasSubstr("line 2: '00:00:00:00' is no speed"))
        << "the label alone";
}

// At half speed the six frames up to the middle show three more of the source.
TEST(EditList, WhatADissolveLeadsOverFromRunsOnAtItsSpeed)
{
    std::string const text = "1 T V C 0 12 0 24\nM2 T 012.0\n2 T V C 12 12 24 24\n2 T V D 012 50 74 24 48\n";
    EXPECT_EQ(cut(text, at(kFilm)), (std::vector<Frames>{{0, 15, 0, 30}, {56, 74, 30, 48}}));
}

// The M2 of the first line of a pair may come after both.
TEST(EditList, ASpeedBelongsToTheLineOfThePairThatHasItsReel)
{
    std::string const pair = "1 A V C 0 12 0 24\nM2 A 012.0\n2 A V C 12 12 24 24\n2 B V D 010 50 98 24 48\n";
    CutOptions options = at(kFilm);
    options.source = "B";
    EXPECT_EQ(cut(pair + "M2 B 048.0\nM2 A 012.0\n", options), (std::vector<Frames>{{60, 98, 29, 48}}));
    EXPECT_THAT(error_of(pair + "M2 C 048.0\n", options), HasSubstr("line 5: M2 belongs to"));
    EXPECT_THAT(error_of("1 A V C 0 24 0 24\n2 B V C 0 24 24 48\nM2 A 024.0\n", options),
                HasSubstr("line 3: M2 belongs to"))
        << "two events are no pair";
}

TEST(EditList, SaysWhichLineIsWrong)
{
    EXPECT_THAT(error_of("TITLE: x\n001 T V C 00:00:00:00\n", at(kPal)), HasSubstr("line 2: an event has eight parts"));
    EXPECT_THAT(error_of("001 T Q C 0 1 0 1\n", at(kPal)), HasSubstr("line 1: 'Q' is no track"));
    EXPECT_THAT(error_of("001 T V Z 0 1 0 1\n", at(kPal)), HasSubstr("line 1: 'Z' is no transition"));
    EXPECT_THAT(error_of("001 T V D 0 1 0 1\n", at(kPal)), HasSubstr("line 1"));
    EXPECT_THAT(error_of("001 T V C 0 9 9 0\n", at(kPal)), HasSubstr("ends before it begins"));
    EXPECT_THAT(error_of("001 T V C 0 9 0 9\n002 T V C 20 29 5 14\n", at(kPal)), HasSubstr("overlap in the new film"));
    EXPECT_THAT(error_of("001 T V C 0 9 0 9\nM2 OTHER 24.0\n", at(kPal)), HasSubstr("line 2: M2 belongs to"));
    EXPECT_THAT(error_of("001 T V D 010 0 20 0 20\n", at(kPal)), HasSubstr("what it leads over from"));
    EXPECT_THAT(error_of("TITLE: nothing\n", at(kPal)), HasSubstr("no event"));
    EXPECT_THAT(error_of("1 T V C 0 999999999999999999999 0 9\n", at(kPal)), HasSubstr("line 1"));
    CutOptions no_rate;
    EXPECT_THAT(error_of("001 T V C 0 9 0 9\n", no_rate), HasSubstr("--rate"));
}

} // namespace
} // namespace tabard::pipeline
