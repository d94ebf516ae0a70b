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
             {"take.1.mpeg", "take1", true}, // an extension has four signs at most
             {"take.final", "take", false},
             {".mp4", "mp4", true}, // a name, not an extension
             {"caf\xC3\xA9.mov", "caf", false},
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
TEST(SourceName, MayBeShortenedToAReel)
{
    EXPECT_TRUE(is_shortened("LANTERNO", "lantern on the quay.mp4"));
    EXPECT_FALSE(is_shortened("LANTERN", "lantern on the quay.mp4"));
    EXPECT_FALSE(is_shortened("LANTERNON", "lantern on the quay.mp4"));
    EXPECT_FALSE(is_shortened("LANTERNO", "lanterno.mp4")) << "that is all of it";
    EXPECT_FALSE(is_shortened("LANTERNA", "lantern on the quay.mp4"));
}

TEST(SourceName, IsAFileWhereItEndsAsOne)
{
    for (char const* name : {"lantern.mp4", "LANTERN.MXF", "a.b.ts", "take 2.m4v"})
        EXPECT_TRUE(is_file_name(name)) << name;
    for (char const* name : {"Verse", "take 2.final", "v1.2", "Verse no. 2", ".mp4", "name.", "a.b c"})
        EXPECT_FALSE(is_file_name(name)) << name;
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
