// The committed lesson against the score that it is made from. Whoever changes the score makes the lesson again:
// sample_media/README.md says how.
#include "sample_media/make/cue_file.h"
#include "sample_media/make/pluck.h"
#include "sample_media/make/score.h"
#include "sample_media/make/sound.h"
#include "tests/support/paths.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <memory>
#include <sstream>
#include <string>
#include <vector>

#include <ebur128.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::lantern {
namespace {

std::string const kFolder = (tests::source_folder() / "sample_media/").string();

std::string contents(std::string const& path)
{
    std::ifstream file{path, std::ios::binary};
    std::ostringstream text;
    text << file.rdbuf();
    return text.str();
}

std::uint32_t big_endian(std::string const& bytes, std::size_t at)
{
    std::uint32_t value = 0;
    for (std::size_t i = 0; i < 4; ++i)
        value = value << 8U | static_cast<unsigned char>(bytes.at(at + i));
    return value;
}

Score const& score()
{
    static Score const made = make_score();
    return made;
}

std::vector<float> const& made_sound()
{
    static std::vector<float> const made = sound(score());
    return made;
}

/// The left channel of the committed film, decoded by the ffmpeg program.
std::vector<float> film_sound()
{
    auto const command = "ffmpeg -v error -i '" + kFolder + "lantern.mp4' -af 'pan=mono|c0=c0' -f f32le -";
    std::FILE* const pipe = popen(command.c_str(), "r");
    std::vector<float> samples(static_cast<std::size_t>(score().length) * (kSampleRate / 1000) + 4096, 0.0F);
    samples.resize(std::fread(samples.data(), sizeof(float), samples.size(), pipe));
    pclose(pipe);
    return samples;
}

/// How alike the made sound and `heard` are when `heard` is taken `late` samples later: 1 is the same wave.
double likeness(std::vector<float> const& heard, std::size_t late)
{
    double both = 0;
    double made_power = 0;
    double heard_power = 0;
    for (std::size_t n = 0; n + late < heard.size() && 2 * n < made_sound().size(); ++n) {
        double const a = made_sound()[2 * n];
        double const b = heard[n + late];
        both += a * b;
        made_power += a * a;
        heard_power += b * b;
    }
    return both / std::sqrt(made_power * heard_power);
}

/// Strength of `hertz` in the half second from `ms` (Goertzel, Hann window).
double strength(double hertz, int ms)
{
    constexpr std::size_t kCount = kSampleRate / 2;
    auto const begin = static_cast<std::size_t>(ms) * (kSampleRate / 1000);
    double const step = 2 * M_PI * hertz / kSampleRate;
    double one = 0;
    double two = 0;
    for (std::size_t n = 0; n < kCount; ++n) {
        double const window = 0.5 - 0.5 * std::cos(2 * M_PI * static_cast<double>(n) / kCount);
        double const now = window * made_sound()[2 * (begin + n)] + 2 * std::cos(step) * one - two;
        two = one;
        one = now;
    }
    return std::sqrt(one * one + two * two - 2 * std::cos(step) * one * two);
}

TEST(Lantern, CommittedCueFileIsTheScores) { EXPECT_EQ(contents(kFolder + "lantern.json"), cue_file(score())); }

TEST(Lantern, CommittedFilmWasMadeFromThisScore)
{
    char mark[32];
    std::snprintf(mark, sizeof mark, "score %016llx", static_cast<unsigned long long>(digest(score())));
    EXPECT_NE(contents(kFolder + "lantern.mp4").find(mark), std::string::npos) << mark;
}

TEST(Lantern, FilmIsAsLongAsTheScoreAndNoMoreThanFourMegabytes)
{
    auto const film = contents(kFolder + "lantern.mp4");
    EXPECT_GT(film.size(), 1'000'000U);
    EXPECT_LE(film.size(), 4'000'000U);
    // ISO/IEC 14496-12, movie header box, version 0: after the type come version, two dates, time scale, duration.
    auto const header = film.find("mvhd");
    ASSERT_NE(header, std::string::npos);
    auto const scale = big_endian(film, header + 16);
    EXPECT_EQ(big_endian(film, header + 20) * 1000ULL, static_cast<std::uint64_t>(score().length) * scale);
}

TEST(Lantern, FilmSoundsWhatTheProgramMakesAndNotAHundredthOfASecondLater)
{
    auto const heard = film_sound();
    ASSERT_GT(heard.size(), static_cast<std::size_t>(score().length) * 47U);
    EXPECT_GT(likeness(heard, 0), 0.98);
    EXPECT_LT(likeness(heard, kSampleRate / 100), 0.9);
}

TEST(Lantern, EveryChordOfTheChartIsStruckAsItBegins)
{
    for (auto const& span : score().chart) {
        auto const struck = [&](Stroke const& s) {
            return s.at == span.from && s.grip->name == span.chord &&
                   (s.kind == Stroke::Kind::down || s.kind == Stroke::Kind::pluck);
        };
        EXPECT_EQ(std::count_if(score().strokes.begin(), score().strokes.end(), struck), 1) << span.chord << span.from;
    }
    EXPECT_EQ(score().chart.size(), 17U); // 4 + 2 + 6 (two bars of two chords) + 5, counted by hand
}

TEST(Lantern, ShapesSoundTheirNotesFourFretsUp)
{
    // Equal temperament from A4 = 440 Hz (ISO 16); each string's fundamental stands out from 60 cents beside it. Am
    // with the capo on the fourth fret: C#3 G#3 C#4 E4 G#4, MIDI 49 56 61 64 68.
    for (int const note : {49, 56, 61, 64, 68}) {
        double const hertz = 440 * std::exp2((note - 69) / 12.0);
        double const beside = std::exp2(60 / 1200.0);
        double const strong = strength(hertz, score().shown[0].from + 800);
        EXPECT_GT(strong, 4 * strength(hertz * beside, score().shown[0].from + 800)) << note;
        EXPECT_GT(strong, 4 * strength(hertz / beside, score().shown[0].from + 800)) << note;
    }
}

TEST(Lantern, IsAsLoudAsSpeechOnTheWebAndNeverClips)
{
    // Loudness by libebur128 (EBU R 128, ITU-R BS.1770); about -20 LUFS was asked for, and -1 dBTP is R 128's limit.
    struct Free {
        void operator()(ebur128_state* state) const { ebur128_destroy(&state); }
    };
    std::unique_ptr<ebur128_state, Free> const meter{
        ebur128_init(2, kSampleRate, EBUR128_MODE_I | EBUR128_MODE_TRUE_PEAK)};
    ASSERT_EQ(ebur128_add_frames_float(meter.get(), made_sound().data(), made_sound().size() / 2), EBUR128_SUCCESS);
    double loudness = 0;
    double peak = 0;
    ebur128_loudness_global(meter.get(), &loudness);
    ebur128_true_peak(meter.get(), 0, &peak);
    EXPECT_NEAR(loudness, -20, 0.7);
    EXPECT_LT(20 * std::log10(peak), -1);
    EXPECT_GT(20 * std::log10(peak), -6);
}

} // namespace
} // namespace tabard::lantern
