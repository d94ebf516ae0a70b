#include "pipeline/check/check_file.h"
#include "pipeline/media/read/fingerprint.h"
#include "pipeline/media/read/probe.h"
#include "tests/pipeline/check/checked_file.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

class CueFileWithFilm : public testing::Test {
protected:
    CueFileWithFilm() { tests::make_footage(m_folder / "film.mp4", "testsrc2=s=320x568:r=25:d=4"); }

    std::vector<std::string> check(std::string const& more) { return codes_of(checked(more)); }

    CheckResult checked(std::string const& more)
    {
        tests::write_text(m_folder / "lesson.json",
                          fmt::format(R"({{"tabard": 1, "title": "t", "footage": "film.mp4", {}
"sections": [{{"name": "Talk", "from": "0:01", "to": "0:03",
"show": [{{"chord": "C", "from": "0:01"}}]}}]}})",
                                      more));
        CheckRequest headers_only;
        headers_only.quick = true;
        return check_written(Workspace{}.read(m_folder / "lesson.json").value(), headers_only).value().result;
    }
    tests::TemporaryFolder m_folder;
};

// 320 by 568: the shorter side of 320 pixels leaves 7 for finger numbers.
TEST_F(CueFileWithFilm, LooksAtTheFilmItself)
{
    EXPECT_THAT(check(""), ElementsAre("small-picture"));
    auto const word = footage_fingerprint(m_folder / "film.mp4").value();
    EXPECT_THAT(check(fmt::format(R"("made_for": {{"duration": "0:04", "rate": "25", "fingerprint": "{}"}},)", word)),
                ElementsAre("small-picture"));
    EXPECT_THAT(check(R"("made_for": {"fingerprint": "0"},)"), ElementsAre("small-picture", "other-footage"));
    EXPECT_THAT(check(R"("made_for": {"duration": "0:05"},)"), testing::Contains("other-footage"));
    EXPECT_THAT(check(R"("made_for": {"rate": "24"},)"), testing::Contains("other-footage"));
}

TEST_F(CueFileWithFilm, SaysThatTheFilmIsGoneOrNone)
{
    std::filesystem::remove(m_folder / "film.mp4");
    EXPECT_THAT(check(""), ElementsAre("no-footage"));
    tests::write_text(m_folder / "film.mp4", "no film at all");
    EXPECT_THAT(check(""), ElementsAre("no-footage"));
}

// 60 % of the bytes of a film that carries its index in front: the header still says 4 s.
TEST_F(CueFileWithFilm, SaysWhereAFilmCopiedByHalfEnds)
{
    tests::make_footage(m_folder / "film.mp4", "testsrc2=s=640x480:r=25:d=4", {"-g", "25", "-movflags", "+faststart"});
    EXPECT_THAT(check(""), IsEmpty());
    auto const bytes = std::filesystem::file_size(m_folder / "film.mp4");
    std::filesystem::resize_file(m_folder / "film.mp4", bytes * 6 / 10);
    auto const result = checked("");
    EXPECT_THAT(codes_of(result), testing::UnorderedElementsAre("cut-footage", "outside-film", "outside-film"));
    auto const found = std::ranges::find_if(
        result.findings, [](FoldedFinding const& folded) { return folded.finding.code == "cut-footage"; });
    ASSERT_NE(found, result.findings.end());
    EXPECT_EQ(found->finding.severity, Severity::error);
    auto const rows = tests::ffprobe_rows(m_folder / "film.mp4", "packet=pts_time");
    double end = 0;
    for (std::string const& row : rows)
        end = std::max(end, std::stod(row) + 1.0 / 25);
    EXPECT_GT(end, 1.5);
    EXPECT_LT(end, 3);
    EXPECT_THAT(found->finding.what,
                testing::StartsWith(fmt::format("the film ends at 0:0{:.3f}, though its header says 0:04.000", end)));
}

// Picture 60 of 25 a second, at 2.4 s, dropped by ffmpeg: the ones after it need it.
TEST_F(CueFileWithFilm, SaysThatAPictureIsMissing)
{
    tests::make_footage(m_folder / "whole.mp4", "testsrc2=s=640x480:r=25:d=4", {"-g", "25", "-bf", "0"});
    auto const run = tests::run_program({"ffmpeg", "-v", "error", "-y", "-i", (m_folder / "whole.mp4").string(), "-c",
                                         "copy", "-bsf:v", "noise=drop=eq(n\\,60)", (m_folder / "film.mp4").string()});
    ASSERT_EQ(run.exit, 0) << run.err;
    EXPECT_THAT(check(""), IsEmpty()) << "only headers are read";
    CheckRequest const closely;
    auto const checked = check_written(Workspace{}.read(m_folder / "lesson.json").value(), closely).value();
    auto const found = std::ranges::find_if(
        checked.result.findings, [](FoldedFinding const& folded) { return folded.finding.code == "damaged-footage"; });
    ASSERT_NE(found, checked.result.findings.end());
    EXPECT_EQ(found->finding.severity, Severity::warning);
    EXPECT_THAT(found->finding.what, testing::StartsWith("1 frame is missing between 0:02.360 and 0:02.440"));
}

TEST_F(CueFileWithFilm, RefusesAFilmInTheWordsOfRender)
{
    auto const words = [&] {
        for (FoldedFinding const& folded : checked("").findings)
            if (folded.finding.code == "no-footage")
                return folded.finding.what;
        return std::string();
    };
    tests::write_text(m_folder / "film.mp4", "no film at all");
    EXPECT_EQ(words() + ".", probe_film(m_folder / "film.mp4").error().what) << "what to do comes after it";
    tests::make_footage(m_folder / "film.mp4", "testsrc2=s=48x32:r=25:d=4");
    EXPECT_THAT(check(""), testing::Contains("no-footage"));
    EXPECT_THAT(words(), testing::HasSubstr("cannot draw on a picture 48 pixels wide or high"));
}

// The second cluster of a Matroska film (RFC 9559: IDs 1F43B675, its time E7) 30 s later than it was: header and end
// are in order, so only who reads all packets sees it.
TEST_F(CueFileWithFilm, RefusesAClockThatGoesBackInTheMiddle)
{
    tests::make_footage(m_folder / "film.mkv", "testsrc2=s=640x480:r=25:d=6",
                        {"-g", "25", "-cluster_time_limit", "2000"});
    std::string bytes = tests::read_text(m_folder / "film.mkv");
    std::string const cluster = "\x1F\x43\xB6\x75";
    auto const second = bytes.find(cluster, bytes.find(cluster) + 1);
    ASSERT_NE(second, bytes.npos);
    auto const time = bytes.find('\xE7', second + 4);
    ASSERT_EQ(bytes[time + 1], '\x82'); // of two bytes
    unsigned const milliseconds =
        static_cast<unsigned char>(bytes[time + 2]) * 256U + static_cast<unsigned char>(bytes[time + 3]) + 30'000;
    bytes[time + 2] = static_cast<char>(milliseconds >> 8);
    bytes[time + 3] = static_cast<char>(milliseconds);
    tests::write_text(m_folder / "film.mp4", bytes);
    checked("");
    CheckRequest const closely;
    auto const found = check_written(Workspace{}.read(m_folder / "lesson.json").value(), closely).value();
    EXPECT_THAT(codes_of(found.result), testing::Contains("no-footage"));
    ASSERT_TRUE(found.film_error);
    EXPECT_THAT(found.film_error->what, testing::HasSubstr("the film's clock jumps from 0:3"));
}

TEST(Fingerprint, IsThatOfACopyAndNoOther)
{
    tests::TemporaryFolder const folder;
    tests::write_text(folder / "a", std::string(1'000'000, 'a'));
    tests::write_text(folder / "copy", std::string(1'000'000, 'a'));
    tests::write_text(folder / "longer", std::string(1'000'001, 'a'));
    tests::write_text(folder / "empty", "");
    std::string changed(1'000'000, 'a');
    changed[500'000] = 'b';
    tests::write_text(folder / "changed", changed);
    auto const word = footage_fingerprint(folder / "a");
    EXPECT_EQ(footage_fingerprint(folder / "copy"), word);
    EXPECT_NE(footage_fingerprint(folder / "longer").value(), *word);
    EXPECT_NE(footage_fingerprint(folder / "changed").value(), *word);
    EXPECT_TRUE(footage_fingerprint(folder / "empty"));
    EXPECT_EQ(footage_fingerprint(folder / "missing").error().kind, ErrorKind::not_found);
}

} // namespace
} // namespace tabard::pipeline
