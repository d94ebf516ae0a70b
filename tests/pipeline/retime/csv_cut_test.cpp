#include "cut_frames.h"
#include "pipeline/retime/csv_cut.h"
#include "pipeline/time/timecode.h"

#include <string>
#include <string_view>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::HasSubstr;

constexpr FrameRate kTenths{10, 1};

std::vector<Frames> cut(std::string_view text, CutOptions const& options = {})
{
    auto const reading = parse_csv_cut(text, options);
    EXPECT_TRUE(reading) << (reading ? "" : reading.error().what);
    return reading ? in_frames(reading->map, kTenths) : std::vector<Frames>{};
}

std::string error_of(std::string_view text)
{
    auto const reading = parse_csv_cut(text, {});
    return reading ? "understood" : reading.error().what;
}

TEST(PlainCutList, PiecesFollowOneAnotherUnlessTheySayWhere)
{
    std::vector<Frames> const expected{{0, 125, 0, 125}, {140, 900, 125, 885}, {1000, 1100, 1200, 1300}};
    EXPECT_EQ(cut("from,to,at\n0:00,0:12.5\n0:14,1:30,\n1:40,1:50,2:00\n"), expected);
    EXPECT_EQ(cut("0:00,0:12.5\r\n14,90\r\n\"1:40\",\"1:50\",\"2:00\""), expected);
}

TEST(PlainCutList, MayRepeatAndSwapPieces)
{
    std::vector<Frames> const expected{{100, 200, 0, 100}, {0, 100, 100, 200}, {50, 150, 200, 300}};
    EXPECT_EQ(cut("10,20\n0,10\n5,15\n"), expected);
}

TEST(PlainCutList, ReadsLabelsAtTheRateOfTheFootage)
{
    CutOptions options;
    options.rate = FrameRate{25, 1};
    EXPECT_EQ(cut("00:00:01:05,00:00:02:00\n", options), (std::vector<Frames>{{12, 20, 0, 8}}));
    EXPECT_EQ(parse_csv_cut("00:00:01:05,00:00:02:00\n", options)->map.end(), from_frame(20, {25, 1}));
}

TEST(PlainCutList, SaysWhichLineIsWrong)
{
    EXPECT_THAT(error_of("from,to\n5\n"), HasSubstr("line 2"));
    EXPECT_THAT(error_of("0,5\n9,7\n"), HasSubstr("line 2: the piece ends at 7 and begins at 9"));
    EXPECT_THAT(error_of("0,five\n"), HasSubstr("line 1"));
    EXPECT_THAT(error_of("0,5\n\"6,7\n8,9\n"), HasSubstr("line 2: a quote is opened and never closed"));
    EXPECT_THAT(error_of("0,\"5\"x\n"), HasSubstr("line 1"));
    EXPECT_THAT(error_of("0,5,0\n0,5,4\n"), HasSubstr("overlap"));
    EXPECT_THAT(error_of("0,99999999999\n"), HasSubstr("line 1"));
    EXPECT_THAT(error_of("1,2,3,4\n"), HasSubstr("4 values"));
    EXPECT_THAT(error_of("5,5\n"), HasSubstr("line 1: the piece ends at 5 and begins at 5"));
    EXPECT_THAT(error_of("-1,5\n"), HasSubstr("before its film"));
    EXPECT_THAT(error_of("0,5,-1\n"), HasSubstr("before its film"));
    EXPECT_THAT(error_of("0,5\nfrom,to\n"), HasSubstr("line 2")) << "a heading comes first";
    EXPECT_THAT(error_of("from,\"to\nor so\"\n9,7\n"), HasSubstr("line 3")) << "a quoted field may hold a line end";
    EXPECT_THAT(error_of("\"0\"\"1\",5\n"), HasSubstr("0\"1")) << "a doubled quote is one (RFC 4180)";
}

TEST(PlainCutList, SpacesEmptyLinesAndTheKindOfLineEndDoNotCount)
{
    std::vector<Frames> const expected{{0, 50, 0, 50}, {90, 100, 50, 60}};
    EXPECT_EQ(cut(" 0 ,\t5 \n\n   \n9,10\n\n"), expected);
    EXPECT_EQ(cut("0,5\r9,10"), expected);
    EXPECT_EQ(cut("0,5\r\n\r\n9,10\r\n"), expected);
}

TEST(PlainCutList, TheLongestFilmIsThatOfAllLists)
{
    EXPECT_EQ(error_of("0," + print_time_exact(kLatestTime)), "understood");
    EXPECT_THAT(error_of("0," + print_time_exact(kLatestTime + Time{1})), HasSubstr("no film is that long"));
    EXPECT_THAT(error_of("0,1," + print_time_exact(kLatestTime + Time{1})), HasSubstr("no film is that long"));
}

} // namespace
} // namespace tabard::pipeline
