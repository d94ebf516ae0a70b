#include "pipeline/desk/view/still_picture.h"
#include "pipeline/files/file_text.h"
#include "pipeline/timeline/placement.h"
#include "tests/support/paths.h"
#include "tests/support/pictures.h"
#include "tests/support/run_program.h"

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

class StillForThePage : public testing::Test {
protected:
    overlay::Bitmap picture(StillRequest const& request)
    {
        Answer const answer = m_stills.picture(*m_view.drawn, request);
        EXPECT_EQ(answer.status, 200) << answer.body;
        tests::write_text(m_folder / "answer.png", answer.body);
        return tests::read_png(m_folder / "answer.png");
    }

    std::filesystem::path m_demo = tests::source_folder() / "sample_media/lantern.json";
    LessonView m_view =
        look_at(*read_file_text(m_demo, 1 << 20), m_demo, FilmHeaders{}, [](OpenedLesson const& opened) {
            return Look{{}, stage_of(opened.lesson)};
        });
    Stills m_stills;
    tests::TemporaryFolder m_folder;
};

TEST_F(StillForThePage, IsThatOfTheCommand)
{
    // A chord, a title with fades, a count-in, the middle of a frame, and the last one.
    for (char const* const time : {"18.52", "28.7", "14.9", "46.613", "59.59"}) {
        SCOPED_TRACE(time);
        auto const run = tests::run_program({TABARD_PROGRAM, "still", m_demo.string(), "--at", time, "--theme",
                                             "light_card", "--force", "-o", (m_folder / "still.png").string()});
        ASSERT_EQ(run.exit, 0) << run.err;
        auto const wanted = tests::read_png(m_folder / "still.png");
        ASSERT_FALSE(wanted.at.empty());
        EXPECT_EQ(picture({from_seconds(std::atof(time)), false, std::nullopt}), wanted);
    }
}

TEST_F(StillForThePage, IsTheBareFilmWherePlain)
{
    auto const with = picture({from_seconds(18.52), false, std::nullopt});
    auto const bare = picture({from_seconds(18.52), true, std::nullopt});
    EXPECT_NE(with, bare);
    EXPECT_EQ(with.at, bare.at);
}

TEST_F(StillForThePage, IsAsSmallAsItIsAskedFor)
{
    auto const small = picture({from_seconds(18.52), false, 400});
    EXPECT_EQ(small.at.width, 400);
    EXPECT_EQ(small.at.height, 225); // 16:9
}

// Four pixels to one, and three to two: 2/3 of one and 1/3 of the next.
TEST(PictureScaledDown, IsTheMeanOfWhatItCovers)
{
    auto const grey = [](std::uint32_t value) { return 0xff000000u | value * 0x010101u; };
    overlay::Bitmap const four{{0, 0, 2, 2}, {grey(0), grey(100), grey(50), grey(250)}};
    EXPECT_EQ(scaled_down(four, 1).pixels, (std::vector<std::uint32_t>{grey(100)}));
    overlay::Bitmap const three{{0, 0, 3, 3}, std::vector<std::uint32_t>(9, grey(30))};
    EXPECT_EQ(scaled_down(three, 2), (overlay::Bitmap{{0, 0, 2, 2}, std::vector<std::uint32_t>(4, grey(30))}));
    overlay::Bitmap const row{{0, 0, 3, 1}, {grey(0), grey(90), grey(180)}};
    EXPECT_EQ(scaled_down(row, 2).pixels, (std::vector<std::uint32_t>{grey(30), grey(150)}));
    EXPECT_EQ(scaled_down(row, 3), row);
    EXPECT_EQ(scaled_down(row, 9), row);
}

} // namespace
} // namespace tabard::pipeline
