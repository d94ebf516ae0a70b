#include "pipeline/retime/source_choice.h"

#include <string>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

// Invented lists. The footage is "lantern.mp4" where nothing else is said.
namespace tabard::pipeline {
namespace {

using testing::AllOf;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;
using Picture = CutSource::Picture;
using Indices = std::vector<std::size_t>;

CutSource source(std::string reel, std::string clip = "", std::string file = "", int uses = 2)
{
    CutSource result = source_called(std::move(reel), std::move(clip), std::move(file));
    result.uses = uses;
    return result;
}

CutSource black(std::string reel, std::string clip = "")
{
    CutSource result = source(std::move(reel), std::move(clip));
    result.picture = Picture::called_generated;
    return result;
}

CutOptions of(std::string footage, std::string reel = "")
{
    CutOptions options;
    options.footage = std::move(footage);
    options.source = std::move(reel);
    return options;
}

/// The chosen ones, or {99} where it is a question.
Indices chosen(std::vector<CutSource> const& sources, CutOptions const& options = of("lantern.mp4"))
{
    auto const choice = choose_sources(sources, options);
    return choice ? choice->sources : Indices{99};
}
Indices const kQuestion{99};

std::string question(std::vector<CutSource> const& sources, CutOptions const& options = of("lantern.mp4"))
{
    auto const choice = choose_sources(sources, options);
    return choice ? "no question" : choice.error().what;
}

std::vector<std::string> remarks(std::vector<CutSource> const& sources, CutOptions const& options = of("lantern.mp4"))
{
    return choose_sources(sources, options).value().remarks;
}

TEST(SourceChoice, AFileThatIsCalledSoIsTheFootage)
{
    EXPECT_EQ(chosen({source("", "", "file:///x/Lantern.MOV"), source("", "", "logo.png")}), Indices{0});
    EXPECT_EQ(chosen({source("AX", "lantern.mp4"), source("AX", "message.mp4")}), Indices{0});
    EXPECT_EQ(chosen({source("R1", "B-cam", "D:\\x\\lantern.mp4"), source("R1", "A-cam", "D:\\x\\a.mp4")}), Indices{0});
    EXPECT_EQ(chosen({source("A001C003", "lantern"), source("A001C004", "Verse")}), Indices{0});
    EXPECT_EQ(chosen({source("LANTERN"), source("MESSAGE")}), Indices{0});
    EXPECT_EQ(chosen({source("AX", "lantern.mp4"), source("LANTERN"), source("AX", "lantern")}), (Indices{0, 1, 2}))
        << "said in three ways";
}

TEST(SourceChoice, ATitleThatIsCalledSoIsNotWhereItsFileIsAnother)
{
    EXPECT_EQ(chosen({source("", "lantern", "title.mov")}), kQuestion);
    EXPECT_EQ(chosen({source("LANTERN", "", "other.mov")}), kQuestion) << "the file says more than the reel";
    EXPECT_EQ(chosen({source("LANTERN", "other.mov"), source("AX", "lantern.mp4")}), Indices{1});
}

TEST(SourceChoice, APictureOrAnotherTakeWithAlmostItsNameIsNot)
{
    EXPECT_EQ(chosen({source("AX", "lantern.png")}), kQuestion);
    EXPECT_EQ(chosen({source("AX", "lantern.png"), source("AX", "lantern.mp4")}), Indices{1});
    EXPECT_EQ(chosen({source("AX", "take 1"), source("AX", "take 1.2")}, of("take 1.mp4")), Indices{0});
    EXPECT_EQ(chosen({source("AX", "take 11.mp4"), source("AX", "take 1-1.mp4")}, of("take 11.mp4")), Indices{0});
    EXPECT_EQ(chosen({source("AX", "lantern.copy")}), kQuestion);
    EXPECT_EQ(chosen({source("AX", "/a/lantern.mp4"), source("AX", "/b/lantern.mp4")}), kQuestion);
}

TEST(SourceChoice, TwoClipsOnOneReelAreTwoTakes)
{
    CutOptions const options = of("lantern on the quay.mp4");
    std::vector<CutSource> const takes{source("LANTERNO", "lantern on the quay.mp4"),
                                       source("LANTERNO", "lantern on the quay 2.mp4")};
    EXPECT_EQ(chosen(takes, options), Indices{0});
    EXPECT_EQ(chosen({source("LANTERNO", "lantern on the quay"), source("LANTERNO", "lantern on the quay 2")}, options),
              Indices{0});
    EXPECT_EQ(chosen({source("LANTERNO", "lantern on the quay 3.mp4"), takes[1]}, options), kQuestion);
    EXPECT_EQ(chosen({takes[1]}, options), kQuestion);
    EXPECT_EQ(chosen({source("LANTERN", "lantern.mp4"), source("LANTERN", "lantern 2.mp4")}), Indices{0});
    EXPECT_THAT(question({source("LANTERN", "Take 1"), source("LANTERN", "Take 2")}),
                HasSubstr("reel LANTERN holds Take 1 (2 shots), Take 2 (2 shots): if all of it is the footage "
                          "'lantern.mp4', give --reel \"LANTERN\", else the name of the right one"));
    EXPECT_EQ(chosen({source("LANTERN", "Verse")}), Indices{0}) << "one clip may be called as one likes";
    EXPECT_THAT(question({source("LANTERN", "lantern"), source("LANTERN", "Chorus, good")}),
                AllOf(HasSubstr("give --reel \"LANTERN\", else --reel \"lantern\""), HasSubstr("Chorus, good")));
}

// Zero-length lines of dissolves often have no comment.
TEST(SourceChoice, EventsWithoutAClipGoWithTheirReel)
{
    EXPECT_EQ(chosen({source("LANTERN", "lantern.mp4"), source("LANTERN")}), (Indices{0, 1}));
    EXPECT_EQ(
        chosen({source("LANTERNO", "lantern on the quay.mp4"), source("LANTERNO")}, of("lantern on the quay.mp4")),
        (Indices{0, 1}));
    EXPECT_EQ(chosen({source("LANTERN", "lantern.mp4"), source("LANTERN"), source("LANTERN", "lantern 2.mp4")}),
              kQuestion)
        << "it may be of either";
}

TEST(SourceChoice, AReelOfEightLettersMayBeTheBeginningOfAName)
{
    CutOptions const options = of("lantern on the quay.mp4");
    EXPECT_EQ(chosen({source("LANTERNO"), source("MESSAGE")}, options), Indices{0});
    EXPECT_THAT(remarks({source("LANTERNO")}, options), testing::ElementsAre(HasSubstr("whose name begins so")));
    EXPECT_EQ(chosen({source("LANTERNO", "Verse")}, options), kQuestion);
    EXPECT_EQ(chosen({source("", "LANTERNO")}, options), kQuestion) << "clips are not shortened";
    EXPECT_EQ(chosen({source("", "", "lanterno.mov")}, options), kQuestion) << "nor are files";
    EXPECT_EQ(chosen({source("LANTERNO")}, of("lantern on the quay.mp4", "lantern on the quay")), kQuestion);
}

TEST(SourceChoice, AStrangerIsAQuestion)
{
    EXPECT_THAT(question({source("MESSAGE")}),
                AllOf(HasSubstr("the cut draws on MESSAGE (2 shots) and none is called like the footage 'lantern.mp4'"),
                      HasSubstr("--reel \"MESSAGE\"")));
    EXPECT_EQ(chosen({source("", "", "file:///x/logo.png")}), kQuestion);
    EXPECT_EQ(chosen({source("AX"), source("MESSAGE")}), kQuestion);
    EXPECT_EQ(chosen({source("MESSAGE")}, of("")), Indices{0}) << "no name to compare with";
}

TEST(SourceChoice, WhatHasNoNameIsTheFootageWhereThereIsNothingElse)
{
    for (CutSource const& nameless : {source("AX"), source("ax"), source(""), source("--"), source("001")}) {
        EXPECT_EQ(chosen({nameless, black("BL")}), Indices{0});
        EXPECT_THAT(remarks({nameless}), testing::ElementsAre(HasSubstr("does not name its source")));
    }
}

TEST(SourceChoice, TheFootagesOwnTimecodeTellsWhereNamesDoNot)
{
    std::vector<CutSource> cameras{source("A001C003"), source("A001C004")};
    EXPECT_EQ(chosen(cameras), kQuestion);
    cameras[1].by_timecode = true;
    EXPECT_EQ(chosen(cameras), Indices{1});
    EXPECT_THAT(remarks(cameras), testing::ElementsAre(HasSubstr("A001C004 is taken for the footage 'lantern.mp4'")));
    cameras[0].by_timecode = true;
    EXPECT_EQ(chosen(cameras), kQuestion) << "two cameras with one clock";
}

TEST(SourceChoice, NamesOutrankTheWordsForGeneratedPicture)
{
    for (std::string const name : {"bars", "black", "bl", "blk"}) {
        CutOptions const options = of(name + ".mp4");
        EXPECT_EQ(chosen({black(name)}, options), Indices{0}) << name;
        EXPECT_EQ(chosen({black(name), source("MESSAGE")}, options), Indices{0}) << name;
        EXPECT_EQ(chosen({black("BL", name + ".mp4"), black("BL")}, options), Indices{0}) << "black lies between";
        EXPECT_EQ(chosen({black(name), source("MESSAGE")}, of("lantern.mp4", name)), Indices{0}) << name;
    }
    EXPECT_THAT(chosen({black("BL")}), IsEmpty());
    CutSource generator = source("", "lantern");
    generator.picture = Picture::generated;
    EXPECT_THAT(chosen({generator}), IsEmpty());
    EXPECT_THAT(question({generator}, of("lantern.mp4", "lantern")),
                HasSubstr("'lantern' is generated picture, which is never the footage"));
}

TEST(SourceChoice, TheReelThatIsAskedForIsTakenByAnyOfItsNames)
{
    std::vector<CutSource> const list{source("A1", "Verse", "/x/a.mp4"), source("A1", "Chorus", "/x/b.mp4"),
                                      source("B1", "Verse", "/y/a.mp4"), source("LANTERN")};
    auto const asked = [&](char const* name) { return chosen(list, of("lantern.mp4", name)); };
    EXPECT_EQ(asked("a1"), (Indices{0, 1}));
    EXPECT_EQ(asked("chorus"), Indices{1});
    EXPECT_EQ(asked("b.mp4"), Indices{1});
    EXPECT_EQ(asked("a"), (Indices{0, 2}));
    EXPECT_EQ(asked("/y/a.mp4"), Indices{2});
    EXPECT_EQ(asked("file:///x/a.mp4"), Indices{0});
    EXPECT_THAT(question(list, of("lantern.mp4", "LANT")),
                HasSubstr("nothing in the cut is called 'LANT'; it draws on "));
    EXPECT_THAT(chosen({source("A", "", "", 0), source("B")}, of("lantern.mp4", "A")), IsEmpty()) << "it is not seen";
}

TEST(SourceChoice, OfFilesWithOneNameTheOneOfItsLengthOrTimecodeIsTheFootage)
{
    CutOptions options = of("lantern.mp4");
    options.rate = FrameRate{25, 1};
    options.footage_length = from_frame(1000, {25, 1});
    std::vector<CutSource> files{source("", "", "/a/lantern.mp4"), source("", "", "/b/lantern.mp4")};
    EXPECT_THAT(question(files, options), HasSubstr("/a/lantern.mp4 (2 shots), /b/lantern.mp4 (2 shots). Say which"));
    files[0].length = from_frame(990, {25, 1});
    files[1].length = from_frame(1001, {25, 1});
    EXPECT_EQ(chosen(files, options), Indices{1});
    files[0].by_timecode = true;
    EXPECT_EQ(chosen(files, options), kQuestion);
    EXPECT_EQ(chosen({source("", "", "/a/lantern.mp4"), source("", "", "file:///a/lantern.mp4")}, options),
              (Indices{0, 1}));
}

/// `count` sources, the last of them used most.
std::vector<CutSource> reels(int count)
{
    std::vector<CutSource> result;
    for (int i = 1; i <= count; ++i)
        result.push_back(source(fmt::format("R{}", i), "", "", i));
    return result;
}

TEST(SourceChoice, AsksAmongTheMostUsed)
{
    EXPECT_THAT(question(reels(10)), HasSubstr("R10 (10 shots), R9 (9 shots), "));
    EXPECT_THAT(question(reels(10)), HasSubstr(", R1 (1 shot) and none"));
    EXPECT_THAT(question(reels(12)), HasSubstr(", R3 (3 shots) and 2 more and none"));
    EXPECT_THAT(question(reels(12)), Not(HasSubstr("R2 (")));
    EXPECT_THAT(question({source("A", "take"), source("B", "take")}),
                HasSubstr("take (reel A, 2 shots), take (reel B, 2 shots)"));
}

TEST(SourceChoice, OnlyWhatIsSeenCounts)
{
    EXPECT_THAT(chosen({source("lantern", "", "", 0), source("other")}), IsEmpty()) << "it is hidden, not unknown";
    EXPECT_EQ(chosen({source("lantern", "", "", 1), source("other")}), Indices{0});
    EXPECT_EQ(chosen({}), Indices{});
}

} // namespace
} // namespace tabard::pipeline
