#include "pipeline/media/read/sound_reader.h"
#include "tests/pipeline/media/clips.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

// Sample n of what SoundReader gives is heard at n / rate. The clips hold short clicks at known times.
namespace tabard::pipeline {
namespace {

using clips::make;

struct Heard {
    std::vector<float> samples;
    int rate = 0;
};

Heard hear(std::filesystem::path const& file, SoundFormat format = {})
{
    auto reader = SoundReader::open(file, format);
    EXPECT_TRUE(reader) << reader.error().what;
    Heard heard{{}, format.rate};
    while (reader) {
        auto const block = reader->next();
        EXPECT_TRUE(block) << block.error().what;
        if (!block || block->empty())
            break;
        heard.samples.insert(heard.samples.end(), block->begin(), block->end());
    }
    return heard;
}

/// The time of the largest absolute sample in [from, to), in seconds.
double click(Heard const& heard, double from, double to)
{
    auto const first = heard.samples.begin() + std::lround(from * heard.rate);
    auto const last =
        heard.samples.begin() + std::min<std::ptrdiff_t>(std::lround(to * heard.rate), std::ssize(heard.samples));
    auto const at = std::max_element(first, last, [](float a, float b) { return std::abs(a) < std::abs(b); });
    EXPECT_GT(std::abs(*at), 0.1F);
    return static_cast<double>(at - heard.samples.begin()) / heard.rate;
}

// A click at 0.5 s and at 1.5 s, mono: one sample at 0.9, its neighbours at 0.45.
std::string clicks(int rate)
{
    return fmt::format("-f lavfi -i \"aevalsrc='0.9*max(0,1-abs(n-{0})/2)+0.9*max(0,1-abs(n-{1})/2)':s={2}:d=2\" ",
                       rate / 2, rate * 3 / 2, rate);
}

TEST(Sound, IsOnItsTimeToTheSampleInPlainFiles)
{
    auto const heard = hear(make("clicks.wav", clicks(48000)));
    EXPECT_EQ(heard.samples.size(), 96000U);
    EXPECT_NEAR(click(heard, 0, 1), 0.5, 1e-9);
    EXPECT_NEAR(click(heard, 1, 2), 1.5, 1e-9);
}

TEST(Sound, IsOnItsTimeAfterAnEncoderThatAddsPriming)
{
    // AAC: 1024 samples of priming and an edit list; MP3: 1105 samples, told in the first packet; Opus: 312, in the
    // header. Forgetting any of them is 6.5 ms or more. A lossy codec smears a click by a few samples: 0.5 ms. (Not
    // here: AAC in Matroska by ffmpeg 5.1, which itself moves the whole film up by the priming.)
    for (auto const& [name, codec] : {std::pair{"clicks.mp4", "aac"},
                                      {"clicks.m4a", "aac"},
                                      {"clicks.mov", "aac"},
                                      {"clicks_mp3.mp4", "libmp3lame"},
                                      {"clicks.mp3", "libmp3lame"},
                                      {"clicks.webm", "libopus"},
                                      {"clicks.flac", "flac"}}) {
        SCOPED_TRACE(name);
        auto const heard = hear(make(name, clicks(48000) + "-b:a 160k -c:a " + codec));
        EXPECT_NEAR(click(heard, 0, 1), 0.5, 0.0005);
        EXPECT_NEAR(click(heard, 1, 2), 1.5, 0.0005);
    }
}

TEST(Sound, StaysOnItsTimeWhenTheRateIsChanged)
{
    for (int const from : {44100, 48000, 32000})
        for (int const to : {22050, 48000, 8000}) {
            SCOPED_TRACE(fmt::format("{} to {}", from, to));
            auto const heard = hear(make("rates.wav", clicks(from)), {to, Channels::mono});
            EXPECT_NEAR(click(heard, 0, 1), 0.5, 0.51 / to);
            EXPECT_NEAR(click(heard, 1, 2), 1.5, 0.51 / to);
            EXPECT_NEAR(static_cast<double>(heard.samples.size()), 2.0 * to, 2.0);
        }
}

TEST(Sound, BeginsLateWhereTheFileSaysSo)
{
    auto const early = make("early.m4a", clicks(44100) + "-c:a aac");
    auto const film = clips::simple("film.mp4", 3);
    auto const late = make("late.mp4", fmt::format("-i '{}' -itsoffset 0.8 -i '{}' -map 0:v -map 1:a -c copy",
                                                   film.string(), early.string()));
    auto const heard = hear(late, {44100, Channels::mono});
    EXPECT_NEAR(click(heard, 0.9, 1.8), 1.3, 0.0015); // the file itself counts its delay in 1/1000 s
    EXPECT_EQ(*std::max_element(heard.samples.begin(), heard.samples.begin() + 30000), 0.0F); // silence until 0.8 s
}

TEST(Sound, HonoursAnEditListThatBeginsInsideThePackets)
{
    auto const whole = make("whole.m4a", clicks(48000) + "-c:a aac");
    auto const cut = make("cut.m4a", fmt::format("-ss 0.3 -i '{}' -c copy", whole.string()));
    // The edit list counts in the movie's clock of 1/1000 s.
    EXPECT_NEAR(click(hear(cut), 0, 1), 0.2, 0.0015);
}

TEST(Sound, FillsAGapWithSilence)
{
    // Matroska with the packets of 0.7 to 1.2 s taken out: what follows must not move up.
    auto const whole = make("whole.mkv", clicks(48000) + "-c:a pcm_s16le");
    auto const gap =
        make("gap.mkv", fmt::format("-i '{}' -c copy -bsf:a \"noise=drop='between(pts*tb,0.7,1.2)'\"", whole.string()));
    auto const heard = hear(gap);
    EXPECT_EQ(heard.samples.size(), 96000U);
    EXPECT_NEAR(click(heard, 1, 2), 1.5, 0.001);
}

TEST(Sound, MixesStereoToMonoWithoutClipping)
{
    auto const both = make("both.wav", "-f lavfi -i \"aevalsrc='0.9|0.9':s=48000:d=0.1\"");
    auto const left = make("left.wav", "-f lavfi -i \"aevalsrc='0.8|0':s=48000:d=0.1\"");
    EXPECT_NEAR(hear(both).samples[2000], 0.9, 0.001);
    EXPECT_NEAR(hear(left).samples[2000], 0.4, 0.001);
    auto const stereo = hear(left, {48000, Channels::stereo});
    EXPECT_NEAR(stereo.samples[4000], 0.8, 0.001);
    EXPECT_NEAR(stereo.samples[4001], 0.0, 0.001);
}

TEST(Sound, ThatIsNotThereIsAClearError)
{
    auto const silent = make("silent.mp4", "-f lavfi -i testsrc2=s=64x64:r=10 -t 0.5 -c:v libx264 -pix_fmt yuv420p");
    auto const reader = SoundReader::open(silent, {});
    ASSERT_FALSE(reader);
    EXPECT_EQ(reader.error().kind, ErrorKind::not_found);
    EXPECT_NE(reader.error().what.find("silent.mp4: there is no sound"), std::string::npos);
}

} // namespace
} // namespace tabard::pipeline
