#include "pipeline/retime/source_name.h"

#include <vector>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

TEST(SourceName, IsOfOneFileHoweverProgramsWriteIt)
{
    struct Case {
        char const* one;
        char const* other;
        bool same;
    };
    for (auto const& [one, other, same] : std::vector<Case>{
             {"lantern.mp4", "LANTERN", true},
             {"C:\\films\\Lantern 2.mov", "lantern_2.MXF", true},
             {"file:///x/my%20Film.mov", "My film", true},
             {"a%41", "aa", true}, // RFC 3986: %41 is A
             {"a%4", "a4", true},  // and this is no code
             {"a%4g", "a4g", true},
             {"a%g1", "ag1", true},
             {"take.1.mpeg", "take1", true},
             {"take.final", "take", false},
             {"take.copy", "take.mp4", false},
             {"take 1.2", "take 1.mp4", false}, // a number, not an ending
             {"take 1-1.mp4", "take 11.mp4", false},
             {"take 1-1.mp4", "TAKE_1_1.mov", true},
             {"2026-05-01", "2026 05 01.mp4", true},
             {".mp4", "mp4", true}, // a name, not an ending
             {"--.mp4", "--.mp4", true},
             {"--.mp4", "__.mp4", false},
             {"caf\u00E9.mov", "caf", false},
             {"caf\u00E9.mov", "CAF\u00C9", true},
             {"caf\u00E9.mov", "cafe\u0301.mp4", true},
             {"LANTERNO", "lantern on the quay.mp4", false},
             {"lantern.mp4", "lantern2.mp4", false},
             {"", "", false},
             {"--", "__", false},
         }) {
        EXPECT_EQ(same_source_name(one, other), same) << one << " " << other;
        EXPECT_EQ(same_source_name(other, one), same) << other << " " << one;
    }
}

// CMX 3600: reels have eight characters.
TEST(SourceName, MayStandInAReelByItsFirstEightLetters)
{
    EXPECT_TRUE(is_reel_of("LANTERNO", "lantern on the quay.mp4"));
    EXPECT_FALSE(is_reel_of("LANTERN", "lantern on the quay.mp4"));
    EXPECT_FALSE(is_reel_of("LANTERNON", "lantern on the quay.mp4"));
    EXPECT_FALSE(is_reel_of("LANTERNA", "lantern on the quay.mp4"));
    EXPECT_TRUE(is_reel_of("TAKE11", "take 1-1.mp4"));
    EXPECT_TRUE(is_reel_of("CAFLANTE", "caf\u00E9 lantern.mp4"));
    EXPECT_FALSE(is_reel_of("", "--.mp4"));
}

TEST(SourceName, IsAFileWhereItEndsAsOne)
{
    for (char const* name : {"lantern.mp4", "LANTERN.MXF", "a.b.ts", "take 2.m4v", "logo.png"})
        EXPECT_TRUE(is_file_name(name)) << name;
    for (char const* name : {"Verse", "take 2.final", "v1.2", "Verse no. 2", ".mp4", "name.", "a.b c"})
        EXPECT_FALSE(is_file_name(name)) << name;
    EXPECT_TRUE(is_still("x/Logo.PNG"));
    EXPECT_FALSE(is_still("lantern.mp4"));
}

TEST(SourceName, PathsAreComparedFromTheirEnds)
{
    EXPECT_TRUE(same_path("file:///films/a/lantern.mp4", "/films/a/Lantern.mp4"));
    EXPECT_TRUE(same_path("lantern.mp4", "C:\\films\\lantern.mp4"));
    EXPECT_TRUE(same_path("file://server/films/a%20b/lantern.mp4", "a b/lantern.mp4"));
    EXPECT_FALSE(same_path("/films/a/lantern.mp4", "/films/b/lantern.mp4"));
    EXPECT_FALSE(same_path("tern.mp4", "/films/lantern.mp4"));
    EXPECT_EQ(file_name("file:///films/my%20film.mp4"), "my film.mp4");
}

} // namespace
} // namespace tabard::pipeline
