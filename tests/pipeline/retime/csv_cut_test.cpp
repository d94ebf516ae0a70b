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

TEST(PlainCutList, SemicolonsOfDropFrameLabelsDivideNoValues)
{
    CutOptions options;
    options.rate = FrameRate{30000, 1001};
    auto const reading = parse_csv_cut("00:00:01;00,00:00:02;00\n", options);
    ASSERT_TRUE(reading) << reading.error().what;
    EXPECT_EQ(reading->map.end(), from_frame(30, {30000, 1001})); // labels 30 and 60: 30 frames
    EXPECT_FALSE(parse_csv_cut("00:00:01;05;00:00:02;00\n", options)) << "never 1 s to 5 s";
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
    EXPECT_THAT(error_of("from,to,\"a note\nor so\"\n9,7\n"), HasSubstr("line 3"))
        << "a quoted field may hold a line end";
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

struct Spreadsheet {
    char const* what;
    char const* text;
};

// Each keeps 5.5 to 65.5 s and 70 to 80 s. Written by hand; how programs write them is common practice, no published
// source.
TEST(PlainCutList, SpreadsheetsOfManyCountriesSayTheSame)
{
    std::vector<Frames> const expected{{55, 655, 0, 600}, {700, 800, 600, 700}};
    for (Spreadsheet const& sheet : std::vector<Spreadsheet>{
             {"commas", "from,to\n5.5,65.5\n70,80\n"},
             {"no heading", "5.5,65.5\n70,80\n"},
             {"capitals", "From,To\n5.5,65.5\n70,80\n"},
             {"all capitals", "FROM,TO\n5.5,65.5\n70,80\n"},
             {"start and end", "Start,End\n5.5,65.5\n70,80\n"},
             {"in and out", "In,Out\n5.5,65.5\n70,80\n"},
             {"underscores", "start_time,end_time\n5.5,65.5\n70,80\n"},
             {"units", "Start (s),End (s)\n5.5,65.5\n70,80\n"},
             {"clock", "start,end\n0:05.5,1:05.5\n1:10,1:20\n"},
             {"clock with hours", "start,end\n0:00:05.5,0:01:05.5\n0:01:10,0:01:20\n"},
             {"semicolons", "from;to\n5.5;65.5\n70;80\n"},
             {"decimal commas", "from;to\n5,5;65,5\n70;80\n"},
             {"decimal commas, no heading", "5,5;65,5\n70;80\n"},
             {"German", "Von;Bis\n0:05,5;1:05,5\n1:10;1:20\n"},
             {"German with hours", "Anfang;Ende;Bemerkung\n00:00:05,5;00:01:05,5;gut\n00:01:10;00:01:20;\n"},
             {"French", "D\u00E9but;Fin\n5,5;65,5\n70,0;80,0\n"},
             {"Spanish", "inicio;fin\n5,5;65,5\n70;80\n"},
             {"Italian", "Inizio;Fine\n5,5;65,5\n70;80\n"},
             {"Dutch", "van;tot\n5,5;65,5\n70;80\n"},
             {"tabs", "from\tto\n5.5\t65.5\n70\t80\n"},
             {"tabs and decimal commas", "from\tto\n5,5\t65,5\n70\t80\n"},
             {"tabs, decimal commas, no heading", "5,5\t65,5\n70\t80\n"},
             {"sep=;", "sep=;\nfrom;to\n5,5;65,5\n70;80\n"},
             {"sep=, and CRLF", "sep=,\r\nfrom,to\r\n5.5,65.5\r\n70,80\r\n"},
             {"mark and sep", "\xEF\xBB\xBFsep=;\r\n5,5;65,5\r\n70;80\r\n"},
             {"byte order mark", "\xEF\xBB\xBF"
                                 "from;to\r\n5,5;65,5\r\n70;80\r\n"},
             {"CR", "from;to\r5,5;65,5\r70;80\r"},
             {"no last line end", "from;to\n5,5;65,5\n70;80"},
             {"empty first lines", "\n\nfrom,to\n5.5,65.5\n70,80\n"},
             {"empty lines", "from,to\n\n5.5,65.5\n\n\n70,80\n\n"},
             {"empty rows", "from,to,note\n5.5,65.5,x\n,,\n70,80,\n,,\n"},
             {"trailing separators", "5.5,65.5,,,\n70,80,,,\n"},
             {"quoted", "\"from\",\"to\"\n\"5.5\",\"65.5\"\n\"70\",\"80\"\n"},
             {"quoted decimal commas", "from,to\n\"5,5\",\"65,5\"\n70,80\n"},
             {"notes with commas", "from,to,note\n5.5,65.5,\"good, loud\"\n70,80,\"a \"\"b\"\"\"\n"},
             {"a note with a line end", "from,to,note\n5.5,65.5,\"good\nloud\"\n70,80,x\n"},
             {"other order", "No,Name,End,Start\n1,intro,65.5,5.5\n2,verse,80,70\n"},
             {"a duration beside", "from,to,duration\n5.5,65.5,60\n70,80,10\n"},
             {"a duration instead", "start,duration\n5.5,60\n70,10\n"},
             {"units in the heading", "Start [mm:ss];Ende [mm:ss]\n0:05,5;1:05,5\n1:10;1:20\n"},
             {"units behind values", "Start;Stop\n5.5 s;65.5 s\n70s;80 sec\n"},
             {"accented capitals", "ENTR\u00C9E;SORTIE;DUR\u00C9E\n5,5;65,5;60\n70;80;10\n"},
             {"a title above", "Lesson cut v2,,\n2026-11-28,,\n\nfrom,to,note\n5.5,65.5,a\n70,80,b\n"},
             {"a title of one field", "Lesson cut v2\nfrom;to\n5,5;65,5\n70;80\n"},
             {"a total below", "from,to,length\n5.5,65.5,60\n70,80,10\nTotal,,70\n"},
             {"a total below names", "Name;Von;Bis;Dauer\na;5,5;65,5;60\nb;70;80;10\nSumme:;;;70\n"},
             {"comments", "# my cut\nfrom,to\n5.5,65.5\n# the dog, and more, is out\n70,80\n"},
             {"numbers under #", "#,from,to\n1,5.5,65.5\n2,70,80\n"},
             {"rows that are kept", "from,to,keep\n5.5,65.5,yes\n65.5,70,no\n70,80,yes\n"},
             {"an action", "Action;From;To\nkeep;5,5;65,5\ncut;65,5;70\nkeep;70;80\n"},
             {"rows that are taken out", "from,to,remove\n5.5,65.5,\n65.5,70,x\n70,80,\n"},
             {"a speed that is plain", "from,to,speed\n5.5,65.5,100%\n70,80,1.0\n"},
             {"names of parts", "Clip,Start,End\nIntro v1.2,5.5,65.5\nVerse,70,80\n"},
             {"lengths without a heading", "5.5,65.5,60\n70,80,10\n"},
             {"sound beside", "Track,Start,End\nV1,5.5,65.5\nA1,5.5,65.5\nV1,70,80\nA1,70,80\n"},
             {"marks", "Start;End;OK?\n5,5;65,5;\u2713\n65,5;70;\u2717\n70;80;\u2713\n"},
             {"Swedish", "Start;Slut\n5,5;65,5\n70;80\n"},
             {"Polish", "Od;Do\n5,5;65,5\n70;80\n"},
             {"Russian", "\u041D\u0430\u0447\u0430\u043B\u043E;\u041A\u043E\u043D\u0435\u0446\n5,5;65,5\n70;80\n"},
             {"blanks that break no line", "from;to\n5,5\u00A0s;65,5\u00A0s\n70;80\n"},
             {"film start", "Source start,Source end,Film start\n5.5,65.5,0\n70,80,60\n"},
             {"places", "Source In,Source Out,Record In,Record Out\n5.5,65.5,0,60\n70,80,60,70\n"},
         }) {
        SCOPED_TRACE(sheet.what);
        EXPECT_EQ(cut(sheet.text), expected);
    }
}

TEST(PlainCutList, WhatIsNotUnderstoodIsRefusedAndNeverGuessed)
{
    EXPECT_THAT(error_of("from,to\n5,65\n70,late\n"), HasSubstr("line 3: column 2"));
    EXPECT_THAT(error_of("from,to\n5,65\n70,late\n"), HasSubstr("a right line is 0:10,0:25.5"));
    EXPECT_THAT(error_of("from;to\n5;\n"), HasSubstr("line 2: column 2: a time is missing"));
    EXPECT_THAT(error_of("from (ms),to (ms)\n5000,65000\n"), HasSubstr("line 1")) << "not 5000 seconds";
    EXPECT_THAT(error_of("from,end (frames)\n5,65\n"), HasSubstr("column 2: \"end (frames)\" counts in frames"));
    EXPECT_THAT(error_of("name,remark\nx,y\n"), HasSubstr("no column is called \"from\""));
    EXPECT_THAT(error_of("from,start,to\n1,2,3\n"), HasSubstr("columns 1 and 2"));
    EXPECT_THAT(error_of("from,to\n5,5,65,5\n"), HasSubstr("4 values")) << "decimal commas between commas";
    EXPECT_THAT(error_of("sep=|\n5|6\n"), HasSubstr("line 1"));
    EXPECT_THAT(error_of("sep=;\n5;x\n"), HasSubstr("line 2"));
    EXPECT_THAT(error_of("from,to\n12:01:05 AM,12:02:00 AM\n"), HasSubstr("line 2: column 1"));
    EXPECT_THAT(error_of("start,duration\n5,0\n"), HasSubstr("the piece is 0 long"));
}

TEST(PlainCutList, WhatMayBeMeantInTwoWaysIsRefused)
{
    EXPECT_THAT(error_of("1,5,65\n2,70,80\n"), HasSubstr("line 1: column 1 seems to count the lines"));
    EXPECT_THAT(error_of("0,5,65\n1,70,80\n"), HasSubstr("line 1: column 1 seems to count the lines"));
    EXPECT_THAT(error_of("5,65,60\n"), HasSubstr("may be the length of the piece or its place"));
    EXPECT_THAT(error_of("from,to,keep\n5,65,yes\n65,70,maybe\n"), HasSubstr("line 3: column 3: 'maybe'"));
    EXPECT_THAT(error_of("from,to,keep\n5,65,x\n65,70,\n"), HasSubstr("column 3: some lines say that they are kept"));
    EXPECT_THAT(error_of("from,to,speed\n5,65,1\n65,70,0.5\n"), HasSubstr("line 3: column 3: a piece cannot run"));
    EXPECT_THAT(error_of("Track,from,to\nV1,5,65\nV2,70,80\n"), HasSubstr("line 3: column 1: pieces of two tracks"));
    EXPECT_THAT(error_of("from,to\n0.00005787,0.00075231\n0.00081,0.00104\n"), HasSubstr("line 2: all pieces lie"));
    EXPECT_THAT(error_of("Von;Bis\n5,5;10\n20;1.234\n"), HasSubstr("line 3: column 2: a full stop, and other times"));
    EXPECT_THAT(error_of("from,to,length\n5,65,60\n70,80,5\n"), HasSubstr("line 3: the piece lasts 0:10.000"));
    EXPECT_THAT(
        error_of("Source In,Source Out,Record In,Record Out\n5,65,0,30\n"),
        HasSubstr("line 2: the piece lasts 1:00.000 from its start to its end, and another column says 0:30.000"));
    EXPECT_THAT(error_of("from,to\n5,65\n,\"70\"\n"), HasSubstr("line 3: column 1: a time is missing"));
    EXPECT_THAT(error_of("5,65\nTotal,x\n70,80\n"), HasSubstr("line 2: column 1")) << "a total stands last";
}

TEST(PlainCutList, SaysWhatItMadeOfAListWithoutAHeading)
{
    auto const remarks = [](std::string_view text) { return parse_csv_cut(text, {})->remarks; };
    EXPECT_THAT(remarks("5,65,5\n"), testing::ElementsAre(HasSubstr("read as the place in the new film")));
    EXPECT_THAT(remarks("5,65,0\n70,80,60\n"), testing::IsEmpty()) << "one after the other, whatever it means";
    EXPECT_THAT(remarks("from,to,at\n5,65,5\n"), testing::IsEmpty());
    EXPECT_THAT(remarks("5,65,60\n70,80,10\n"), testing::ElementsAre(HasSubstr("read as its length")));
    EXPECT_THAT(remarks("from,to,keep\n5,65,yes\n65,70,no\n70,80,yes\n"),
                testing::ElementsAre("Column 3 of the list says that line 3 is not kept."));
    EXPECT_THAT(remarks("from,to,Nice\n5,65,yes\n65,70,no\n70,80,yes\n"),
                testing::ElementsAre(HasSubstr("Column 3 (\"Nice\") of the list says no in line 3")));
    EXPECT_THAT(remarks("from,to,transition\n5,65,cut\n65,70,cut\n"), testing::IsEmpty());
    EXPECT_THAT(remarks("No,from,to\n2,5,65\n1,70,80\n"), testing::ElementsAre(HasSubstr("in another order")));
    EXPECT_THAT(remarks("from,to,length\n5.4,65.6,60\n"), testing::IsEmpty()) << "lengths may be rounded";
}

TEST(PlainCutList, SaysThatAllPiecesLieVeryEarly)
{
    CutOptions options;
    options.footage_length = from_ticks(60, 1, 1);
    EXPECT_THAT(parse_csv_cut("from,to\n0.05,1.05\n1.10,2.3\n", options)->remarks,
                testing::ElementsAre(HasSubstr("All pieces lie before 0:02.300 of a film of 1:00.000")));
}

// Two films in one list: the pieces of another film are new material, and never the footage.
TEST(PlainCutList, AColumnOfFilesSaysWhichPiecesAreTheFootage)
{
    std::string const text = "Clip,Start,End\nlesson.mp4,5,65\nmessage.mp4,0,10\nlesson.mp4,70,80\n";
    CutOptions options;
    options.footage = "lesson.mp4";
    EXPECT_EQ(cut(text, options), (std::vector<Frames>{{50, 650, 0, 600}, {700, 800, 700, 800}}));
    options.footage = "other.mp4";
    EXPECT_FALSE(parse_csv_cut(text, options)) << "which of the two is a question";
    options.source = "message.mp4";
    EXPECT_EQ(cut(text, options), (std::vector<Frames>{{0, 100, 600, 700}}));
    CutOptions stems;
    stems.footage = "lesson.mp4";
    EXPECT_EQ(cut("Clip,In,Out\nlesson,5,65\nmessage,0,10\n", stems), (std::vector<Frames>{{50, 650, 0, 600}}));
    EXPECT_EQ(cut("Clip,In,Out\nIntro,5,65\nVerse,70,80\n", stems),
              (std::vector<Frames>{{50, 650, 0, 600}, {700, 800, 600, 700}}));
    options.source = "A001";
    EXPECT_EQ(cut("Reel;In;Out\nA001;5;65\nA002;0;10\n", options), (std::vector<Frames>{{50, 650, 0, 600}}));
    EXPECT_FALSE(parse_csv_cut("Reel;In;Out\nA001;5;65\nA002;0;10\n", {})) << "which of the two is a question";
    EXPECT_EQ(cut("Reel;In;Out\nA001;5;65\n"), (std::vector<Frames>{{50, 650, 0, 600}}));
}

TEST(PlainCutList, IsReadInUtf16)
{
    std::string text = "\xFF\xFE";
    for (char const sign : std::string{"Start\tEnd\r\n5,5\t65,5\r\n"})
        text += {sign, '\0'};
    EXPECT_EQ(cut(text), (std::vector<Frames>{{55, 655, 0, 600}}));
}

} // namespace
} // namespace tabard::pipeline
