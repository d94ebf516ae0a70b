#include "pipeline/media/read/film_flaws.h"
#include "pipeline/media/splice/splice_source.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <cstdlib>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

// What is missing in a film, seen without decoding it, and what only looks so.
namespace tabard::pipeline {
namespace {

using testing::HasSubstr;
using Kind = FilmFlaw::Kind;

class FilmFlaws : public testing::Test {
protected:
    /// Six seconds, 30 pictures each.
    std::filesystem::path film(std::string const& name, std::vector<std::string> words)
    {
        for (char const* word : {"-pix_fmt", "yuv420p", "-g", "30"})
            words.emplace_back(word);
        tests::make_footage(m_folder / name, "testsrc2=s=160x120:r=30:d=6", words);
        return m_folder / name;
    }
    std::filesystem::path h264(std::string const& name)
    {
        return film(name, {"-c:v", "libx264", "-preset", "veryfast"});
    }

    /// Without some pictures, by their numbers in the file: what ffmpeg's bitstream filter drops.
    std::filesystem::path without(std::filesystem::path const& whole, std::string const& numbers,
                                  std::string const& name)
    {
        auto const run = tests::run_program({"ffmpeg", "-v", "error", "-y", "-i", whole.string(), "-c", "copy",
                                             "-bsf:v", "noise=drop=" + numbers, (m_folder / name).string()});
        EXPECT_EQ(run.exit, 0) << run.err;
        return m_folder / name;
    }
    static std::vector<FilmFlaw> flaws(std::filesystem::path const& path)
    {
        auto film = CodedFilm::open(path);
        EXPECT_TRUE(film);
        auto found = find_flaws(*film).value();
        expect_the_same_of_one_pass(path, found);
        return found;
    }
    /// A look at the groups finds the same flaws on the way, and judges the groups as without them.
    static void expect_the_same_of_one_pass(std::filesystem::path const& path, std::vector<FilmFlaw> const& found)
    {
        auto film = CodedFilm::open(path);
        auto other = CodedFilm::open(path);
        ASSERT_TRUE(film && other);
        std::vector<FilmFlaw> on_the_way;
        auto const with = inspect_for_splicing(*film, Container::mp4, &on_the_way);
        auto const without = inspect_for_splicing(*other, Container::mp4);
        EXPECT_TRUE(on_the_way == found) << path;
        ASSERT_EQ(with.has_value(), without.has_value()) << path;
        if (!with)
            return;
        EXPECT_EQ(with->why_not, without->why_not) << path;
        EXPECT_EQ(with->source.has_value(), without->source.has_value()) << path;
    }
    /// Changes bytes [at, at + bytes.size()).
    static void overwrite(std::filesystem::path const& path, std::size_t at, std::string const& bytes)
    {
        std::string content = tests::read_text(path);
        ASSERT_LT(at + bytes.size(), content.size());
        content.replace(at, bytes.size(), bytes);
        tests::write_text(path, content);
    }
    /// Where ffprobe finds the packet that is this many seconds into the film, and its size.
    static std::pair<std::size_t, std::size_t> packet_at(std::filesystem::path const& path, double seconds)
    {
        for (std::string const& row : tests::ffprobe_rows(path, "packet=pts_time,size,pos")) {
            auto const first = row.find(',');
            auto const second = row.find(',', first + 1);
            if (std::abs(std::atof(row.c_str()) - seconds) < 0.01)
                return {std::stoul(row.substr(second + 1)), std::stoul(row.substr(first + 1))};
        }
        ADD_FAILURE() << "no picture at " << seconds;
        return {};
    }
    tests::TemporaryFolder m_folder;
};

TEST_F(FilmFlaws, AreNoneInWholeFilms)
{
    for (char const* name : {"whole.mp4", "whole.mkv", "whole.ts", "whole.flv", "whole.mov"})
        EXPECT_EQ(words_for(flaws(h264(name))), "") << name;
    EXPECT_EQ(words_for(flaws(film("vp9.webm", {"-c:v", "libvpx-vp9", "-cpu-used", "8"}))), "");
    EXPECT_EQ(words_for(flaws(film("open.mp4", {"-c:v", "libx264", "-x264-params", "open-gop=1:keyint=20"}))), "");
    EXPECT_EQ(words_for(flaws(film("slices.mp4", {"-c:v", "libx264", "-x264-params", "slices=4:bframes=0"}))), "");
}

// Cut without encoding: an edit list leaves out the pictures before the cut that those after it need.
TEST_F(FilmFlaws, AreNoneWhereACutBeginsInsideAGroup)
{
    auto const whole = h264("whole.mp4");
    for (char const* name : {"cut.mp4", "cut.mov", "cut.mkv"})
        for (char const* from : {"0.04", "1.0", "1.31", "1.99", "2.5"}) {
            auto const run = tests::run_program({"ffmpeg", "-v", "error", "-y", "-ss", from, "-i", whole.string(), "-c",
                                                 "copy", (m_folder / name).string()});
            ASSERT_EQ(run.exit, 0) << run.err;
            EXPECT_EQ(words_for(flaws(m_folder / name)), "") << name << " from " << from;
        }
}

// Pictures 40 to 51 and 100 to 102 were never filmed: their neighbours stay on screen for longer. Of any five, three.
TEST_F(FilmFlaws, AreNoneWherePicturesAreHonestlyLong)
{
    for (char const* dropped : {"between(n,40,51)+between(n,100,102)", "gt(mod(n,5),2)", "lt(mod(n*n,7),3)"})
        for (char const* name : {"long.mp4", "long.mkv"})
            EXPECT_EQ(words_for(flaws(film(name, {"-c:v", "libx264", "-preset", "veryfast", "-vf",
                                                  std::string("select='not(") + dropped + ")'", "-fps_mode", "vfr"}))),
                      "")
                << dropped;
}

// Baseline: every picture is shown as it comes, and the next one needs it. Number 100 of 30 a second is at 3.333 s.
TEST_F(FilmFlaws, NameEachPictureThatIsMissing)
{
    auto const whole = film("simple.mp4", {"-c:v", "libx264", "-profile:v", "baseline"});
    for (char const* name : {"lost.mp4", "lost.mkv"}) {
        auto const found = flaws(without(whole, "between(n\\,100\\,102)", name));
        ASSERT_EQ(found.size(), 1U) << words_for(found);
        EXPECT_EQ(found[0].kind, Kind::missing);
        EXPECT_EQ(found[0].pictures, 3);
        EXPECT_NEAR(to_seconds(found[0].from), 99 / 30.0, 0.001);
        EXPECT_NEAR(to_seconds(found[0].to), 103 / 30.0, 0.001);
    }
    EXPECT_THAT(words_for(flaws(without(whole, "eq(n\\,100)", "one.mp4"))), HasSubstr("1 frame is missing between"));
}

// Of a film with pictures that no other needs: each one in turn, but for the last of a group, which nothing counts.
TEST_F(FilmFlaws, NameAPictureThatNoOtherNeeds)
{
    auto const whole = h264("reordered.mp4");
    for (int const number : {61, 62, 63, 64, 65, 66, 67, 68, 69, 70}) {
        auto const found =
            flaws(without(whole, "eq(n\\," + std::to_string(number) + ")", "lost" + std::to_string(number) + ".mp4"));
        ASSERT_EQ(found.size(), 1U) << number << words_for(found);
        EXPECT_EQ(found[0].kind, Kind::missing);
        EXPECT_EQ(found[0].pictures, 1);
    }
}

// A block's own header: what is behind it is lost up to where the reader finds its way again.
TEST_F(FilmFlaws, NameWhatNoiseOverTheHeadersOfMatroskaLoses)
{
    for (auto const& whole : {h264("head.mkv"), film("head.webm", {"-c:v", "libvpx-vp9", "-cpu-used", "8"})}) {
        auto const [at, size] = packet_at(whole, 3.5);
        auto const count = tests::ffprobe_rows(whole, "packet=pts_time").size();
        overwrite(whole, at - 8, std::string(16, '\x55'));
        auto const left = tests::ffprobe_rows(whole, "packet=pts_time").size();
        ASSERT_LT(left, count);
        auto const found = flaws(whole);
        std::int64_t missing = 0;
        for (FilmFlaw const& flaw : found) {
            EXPECT_EQ(flaw.kind, Kind::missing) << words_for(found);
            missing += flaw.pictures;
        }
        EXPECT_EQ(missing, static_cast<std::int64_t>(count - left)) << words_for(found);
    }
}

// Half a kilobyte that was never written, as a disk leaves it: no H.264 picture has three zeros in a row.
TEST_F(FilmFlaws, NameAPictureWithBytesThatNoneHas)
{
    for (char const* name : {"holes.mp4", "holes.mkv"}) {
        auto const whole = h264(name);
        auto const [at, size] = packet_at(whole, 3.0);
        ASSERT_GT(size, 900U);
        overwrite(whole, at + 200, std::string(512, '\0'));
        auto const found = flaws(whole);
        ASSERT_EQ(found.size(), 1U) << words_for(found);
        EXPECT_EQ(found[0].kind, Kind::damaged);
        EXPECT_EQ(words_for(found), "1 frame is damaged at 0:03.000");
    }
}

} // namespace
} // namespace tabard::pipeline
