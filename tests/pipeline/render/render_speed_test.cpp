#include "pipeline/render/render_speed.h"
#include "tests/support/run_program.h"

#include <filesystem>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

VideoTrack of_size(int width, int height)
{
    VideoTrack video;
    video.stored = {width, height};
    return video;
}

TEST(RenderSpeed, IsThatOfTheLastTimeWithSuchSettingsAndPictures)
{
    tests::TemporaryFolder const folder;
    EncoderSettings fast, slow;
    fast.preset = "veryfast";
    slow.preset = "slow";
    EXPECT_EQ(last_speed(folder.path(), fast, of_size(1920, 1080)), std::nullopt);
    note_speed(folder.path(), fast, of_size(1920, 1080), {0.5, 1e-7});
    note_speed(folder.path(), fast, of_size(1920, 1080), {0.25, 2e-7});
    EXPECT_EQ(last_speed(folder.path(), fast, of_size(1920, 1080)), (RenderSpeed{0.25, 2e-7}));
    EXPECT_EQ(last_speed(folder.path(), slow, of_size(1920, 1080)), std::nullopt);
    EXPECT_EQ(last_speed(folder.path(), fast, of_size(1280, 720)), std::nullopt);
}

TEST(RenderSpeed, IsUnknownWhereTheFileSaysNothingThatCouldBe)
{
    tests::TemporaryFolder const folder;
    VideoTrack const video = of_size(640, 360);
    note_speed(folder.path(), {}, video, {1, 1});
    std::filesystem::path const file = std::filesystem::directory_iterator(folder.path())->path();
    for (char const* text : {"", "fast", "1", "-1 1", "nan 1", "0 0", "1 -1"}) {
        tests::write_text(file, text);
        EXPECT_EQ(last_speed(folder.path(), {}, video), std::nullopt) << text;
    }
}

} // namespace
} // namespace tabard::pipeline
