#include "pipeline/sound/film_sound.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <span>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <sys/resource.h>

namespace tabard::pipeline {
namespace {

/// The most memory that this process has held, in MB (getrusage, ru_maxrss is in KiB on Linux).
double peak_megabytes()
{
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    return static_cast<double>(usage.ru_maxrss) / 1024;
}

/// `bytes` of a big-endian number, at `at`.
void put(std::string& file, std::size_t at, std::uint64_t number, int bytes)
{
    for (int i = 0; i < bytes; ++i)
        file[at + static_cast<std::size_t>(i)] = static_cast<char>(number >> (8 * (bytes - 1 - i)));
}

// The movie header says how long the film is (ISO/IEC 14496-12, 8.2.2). Ours lies.
TEST(FilmSound, AFileThatClaimsAWeekOfSoundTakesTheMemoryOfWhatIsThere)
{
    tests::TemporaryFolder const folder;
    auto const film = folder / "claims.mp4";
    tests::make_footage(film, "testsrc2=s=64x48:r=10:d=2",
                        {"-f", "lavfi", "-i", "sine=440:r=8000:d=2", "-c:v", "libx264", "-c:a", "aac", "-movflags",
                         "frag_keyframe+empty_moov"});
    std::string file = tests::read_text(film);
    auto const movie = file.find("mvhd");
    ASSERT_NE(movie, std::string::npos);
    put(file, movie + 4 + 16, 684'679'000, 4); // version 0: the duration stands 16 bytes after it; the clock is 1/1000
    tests::write_text(film, file);
    double const before = peak_megabytes();
    auto const sound = film_sound(film, 22050);
    EXPECT_LT(peak_megabytes() - before, 100); // 684,679 s would be 60 GB
    ASSERT_TRUE(sound) << sound.error().what;
    // 2 s, and up to two frames of 1024 samples of AAC's priming, which this kind of file does not take away.
    EXPECT_NEAR(static_cast<double>(sound->size()) / 22050, 2, 2 * 1024.0 / 8000);
}

TEST(FilmSound, ATimeStampTenHoursOnIsDamageAndNotTenHoursOfSilence)
{
    tests::TemporaryFolder const folder;
    auto const film = folder / "late.mkv";
    tests::make_footage(film, "testsrc2=s=64x48:r=10:d=2",
                        {"-itsoffset", "36000", "-f", "lavfi", "-i", "sine=440:r=8000:d=2", "-map", "0", "-map", "1",
                         "-c:v", "libx264", "-c:a", "libvorbis"});
    double const before = peak_megabytes();
    auto const sound = film_sound(film, 22050);
    EXPECT_LT(peak_megabytes() - before, 100); // 10 h at 22050 floats a second are 3.2 GB
    ASSERT_FALSE(sound);
    EXPECT_EQ(sound.error().kind, ErrorKind::decode);
    EXPECT_NE(sound.error().what.find("its sound has a gap of 10:00:00.0"), std::string::npos) << sound.error().what;
}

TEST(FilmSound, StreamedSoundIsTheSameSound)
{
    tests::TemporaryFolder const folder;
    auto const film = folder / "tone.mp4";
    tests::make_footage(film, "testsrc2=s=64x48:r=10:d=3",
                        {"-f", "lavfi", "-i", "sine=440:r=48000:d=3", "-c:v", "libx264", "-c:a", "aac"});
    auto const whole = film_sound(film, 22050);
    ASSERT_TRUE(whole) << whole.error().what;
    EXPECT_NEAR(static_cast<double>(whole->size()) / 22050, 3, 0.05);
    std::vector<float> streamed;
    ASSERT_TRUE(stream_film_sound(film, 22050, {}, {}, [&](std::span<float const> block) -> Result<void> {
        EXPECT_LT(block.size(), 22050U);
        streamed.insert(streamed.end(), block.begin(), block.end());
        return {};
    }));
    EXPECT_EQ(streamed, *whole);
}

} // namespace
} // namespace tabard::pipeline
