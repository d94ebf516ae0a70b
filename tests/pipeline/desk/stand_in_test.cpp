#include "pipeline/desk/view/stand_in.h"
#include "pipeline/media/read/probe.h"
#include "tests/support/footage.h"

#include <cmath>
#include <cstdlib>
#include <stop_token>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

struct Film {
    char const* file;
    char const* source;
    std::vector<std::string> words;
    char const* size; ///< of the stand-in: the longer side at most 960, even
};

// Frames of a variable rate: of 50 a second those whose number leaves 0 or 1 when divided by 4.
constexpr char const* kUneven = "testsrc2=s=320x180:r=50:d=2,select='lt(mod(n\\,4)\\,2)'";

std::vector<Film> films()
{
    std::vector<std::string> const tone{"-f", "lavfi", "-i", "sine=f=440:d=2:r=48000"};
    auto const with_tone = [&](std::vector<std::string> words) {
        words.insert(words.begin(), tone.begin(), tone.end());
        return words;
    };
    return {
        {"ten_bits.mp4", "testsrc2=s=1280x720:r=30000/1001:d=2",
         with_tone({"-c:v", "libx265", "-preset", "ultrafast", "-x265-params", "log-level=none", "-pix_fmt",
                    "yuv420p10le", "-c:a", "ac3"}),
         "960,540"},
        {"camera.avi", "testsrc2=s=640x480:r=25:d=2", with_tone({"-c:v", "mpeg4", "-bf", "0", "-c:a", "pcm_s16le"}),
         "640,480"},
        {"screen.mkv", kUneven, with_tone({"-c:v", "libx264", "-vsync", "vfr", "-pix_fmt", "yuv444p", "-c:a", "flac"}),
         "320,180"},
        {"copied.mkv", kUneven, with_tone({"-c:v", "libx264", "-vsync", "vfr", "-pix_fmt", "yuv420p", "-c:a", "aac"}),
         "320,180"},
        {"fields.mov", "testsrc2=s=720x576:r=25:d=2",
         with_tone({"-c:v", "libx264", "-flags", "+ildct+ilme", "-x264-params", "tff=1", "-pix_fmt", "yuv420p", "-c:a",
                    "pcm_s16le"}),
         "720,576"},
        {"upright.mkv",
         "testsrc2=s=1080x1920:r=24:d=1",
         {"-c:v", "libvpx-vp9", "-deadline", "realtime", "-pix_fmt", "yuv422p"},
         "540,960"},
    };
}

class StandIn : public testing::Test {
protected:
    void SetUp() override
    {
        fs::remove_all(m_folder);
        fs::create_directories(m_folder);
    }
    void TearDown() override { fs::remove_all(m_folder); }
    fs::path m_folder = fs::temp_directory_path() / "tabard_stand_in_test";
};

std::vector<double> frame_times(fs::path const& film)
{
    std::vector<double> times;
    for (std::string const& row : tests::ffprobe_rows(film, "frame=pts_time"))
        times.push_back(std::atof(row.c_str()));
    return times;
}

TEST_F(StandIn, HasTheFramesOfTheFilmAtTheirTimes)
{
    for (Film const& film : films()) {
        SCOPED_TRACE(film.file);
        fs::path const path = m_folder / film.file;
        tests::make_footage(path, film.source, film.words);
        auto const headers = probe_film(path);
        ASSERT_TRUE(headers) << headers.error().what;
        EXPECT_FALSE(plays_in_browsers(*headers));
        fs::path const made = m_folder / "stand_in.mp4";
        double share = 0;
        auto const done = make_stand_in(*headers, made, {}, [&](double now) { share = now; });
        ASSERT_TRUE(done) << done.error().what;
        EXPECT_GT(share, 0.8);
        auto const wanted = frame_times(path);
        auto const times = frame_times(made);
        ASSERT_EQ(times.size(), wanted.size());
        for (std::size_t i = 0; i < times.size(); ++i)
            EXPECT_LE(std::abs(times[i] - wanted[i]), 0.001) << i; // Matroska counts milliseconds
        EXPECT_EQ(tests::ffprobe_rows(made, "stream=codec_name,width,height,pix_fmt,field_order"),
                  std::vector<std::string>{"h264," + std::string(film.size) + ",yuv420p,progressive"});
        auto const sound = tests::ffprobe_rows(made, "stream=codec_name", "a");
        EXPECT_EQ(sound, film.words.front() == "-f" ? std::vector<std::string>{"aac"} : std::vector<std::string>{});
        auto const again = probe_film(made);
        ASSERT_TRUE(again);
        EXPECT_TRUE(plays_in_browsers(*again));
    }
}

TEST_F(StandIn, IsNotMadeOfWhatBrowsersPlay)
{
    struct Row {
        char const* file;
        std::vector<std::string> words;
    };
    for (Row const& row : {Row{"usual.mp4", {"-c:v", "libx264", "-pix_fmt", "yuv420p"}},
                           Row{"usual.mov", {"-c:v", "libx264", "-pix_fmt", "yuv420p", "-profile:v", "baseline"}},
                           Row{"open.webm", {"-c:v", "libvpx-vp9", "-deadline", "realtime", "-pix_fmt", "yuv420p"}}}) {
        SCOPED_TRACE(row.file);
        tests::make_footage(m_folder / row.file, "testsrc2=s=320x180:r=25:d=1", row.words);
        auto const headers = probe_film(m_folder / row.file);
        ASSERT_TRUE(headers);
        EXPECT_TRUE(plays_in_browsers(*headers));
    }
}

TEST_F(StandIn, LeavesNothingWhereItIsStopped)
{
    fs::path const film = m_folder / "camera.avi";
    tests::make_footage(film, "testsrc2=s=640x480:r=25:d=2", {"-c:v", "mpeg4"});
    auto const headers = probe_film(film);
    ASSERT_TRUE(headers);
    std::stop_source stop;
    auto const done = make_stand_in(*headers, m_folder / "stand_in.mp4", stop.get_token(), [&](double share) {
        if (share > 0.3)
            stop.request_stop();
    });
    ASSERT_FALSE(done);
    EXPECT_EQ(done.error().kind, ErrorKind::interrupted);
    std::size_t files = 0;
    for ([[maybe_unused]] auto const& file : fs::directory_iterator(m_folder))
        ++files;
    EXPECT_EQ(files, 1U); // the film
}

} // namespace
} // namespace tabard::pipeline
