#include "pipeline/check/check_file.h"
#include "pipeline/media/read/fingerprint.h"
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

    std::vector<std::string> check(std::string const& more)
    {
        tests::write_text(m_folder / "lesson.json",
                          fmt::format(R"({{"tabard": 1, "title": "t", "footage": "film.mp4", {}
"sections": [{{"name": "Talk", "from": "0:01", "to": "0:03"}}]}})",
                                      more));
        CheckRequest headers_only;
        headers_only.quick = true;
        return codes_of(check_written(Workspace{}.read(m_folder / "lesson.json").value(), headers_only).value().result);
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
