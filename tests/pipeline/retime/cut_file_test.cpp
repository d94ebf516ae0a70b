#include "cut_frames.h"
#include "pipeline/retime/cut_file.h"
#include "tests/support/run_program.h"

#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::HasSubstr;

constexpr FrameRate kFilm{24, 1};

CutOptions at_film_rate()
{
    CutOptions options;
    options.rate = kFilm;
    return options;
}

TEST(CutFile, IsKnownByTheEndingOfItsName)
{
    for (char const* name : {"cut.edl", "CUT.EDL", "cut.otio", "cut.csv", "a.b.Csv", "folder.mp4/cut.edl"})
        EXPECT_TRUE(is_cut_list(name)) << name;
    for (char const* name : {"", "edl", ".edl", "cut", "cut.edl.txt", "new.mp4", "cut.edl/new", "cut.edlx"})
        EXPECT_FALSE(is_cut_list(name)) << name;
}

// The second of a film of 24 frames a second, as each kind of list says it.
TEST(CutFile, EachKindIsReadByItsOwnReader)
{
    tests::TemporaryFolder const folder;
    std::string const second = R"({"OTIO_SCHEMA":"RationalTime.1","value":24,"rate":24})";
    for (auto const& [name, text] : std::vector<std::pair<std::string, std::string>>{
             {"cut.edl", "001 T V C 00:00:01:00 00:00:02:00 01:00:00:00 01:00:01:00\n"},
             {"cut.csv", "0:01,0:02\n"},
             {"cut.OTIO", R"({"OTIO_SCHEMA":"Track.1","children":[{"OTIO_SCHEMA":"Clip.1","name":"T","source_range":)"
                          R"({"OTIO_SCHEMA":"TimeRange.1","start_time":)" +
                              second + R"(,"duration":)" + second + "}}]}"}}) {
        tests::write_text(folder / name, text);
        auto const reading = read_cut(folder / name, at_film_rate());
        ASSERT_TRUE(reading) << reading.error().what;
        EXPECT_EQ(in_frames(reading->map, kFilm), (std::vector<Frames>{{24, 48, 0, 24}})) << name;
        EXPECT_EQ(reading->new_length, from_frame(24, kFilm)) << name;
    }
}

// Ten seconds of footage; whoever writes times by hand rounds them.
TEST(CutFile, PiecesPastTheEndsOfTheFootageAreDoubted)
{
    tests::TemporaryFolder const folder;
    CutOptions options = at_film_rate();
    options.footage_length = from_frame(240, kFilm);
    auto const doubts = [&](std::string const& name, std::string const& text) {
        tests::write_text(folder / name, text);
        return read_cut(folder / name, options).value().doubts;
    };
    auto const takes_more =
        testing::ElementsAre(testing::Field(&CutDoubt::what, HasSubstr("lasts 0:10.000: 0:06.000 to 0:12.000")));
    EXPECT_THAT(doubts("past.csv", "from,to\n0,5\n6,12\n"), takes_more);
    EXPECT_THAT(doubts("past.edl", "1 T V C 0 120 0 120\n2 T V C 144 288 120 264\n"), takes_more);
    EXPECT_THAT(doubts("end.csv", "0,11\n"), testing::IsEmpty());
    EXPECT_THAT(doubts("end.edl", "1 T V C 0 241 0 241\n"), testing::IsEmpty());
}

TEST(CutFile, ThatIsWrongIsNamedWithItsLine)
{
    tests::TemporaryFolder const folder;
    tests::write_text(folder / "cut.csv", "0,5\n9,7\n");
    auto const wrong = read_cut(folder / "cut.csv", {});
    ASSERT_FALSE(wrong);
    EXPECT_EQ(wrong.error().kind, ErrorKind::invalid_input);
    EXPECT_THAT(wrong.error().what, HasSubstr((folder / "cut.csv").string() + ": line 2: "));
    EXPECT_EQ(read_cut(folder / "none.csv", {}).error().kind, ErrorKind::not_found);
    auto const film = read_cut(folder / "new.mp4", {});
    ASSERT_FALSE(film);
    EXPECT_EQ(film.error().kind, ErrorKind::invalid_input);
    EXPECT_THAT(film.error().what, HasSubstr("new.mp4 is no cut list"));
}

} // namespace
} // namespace tabard::pipeline
