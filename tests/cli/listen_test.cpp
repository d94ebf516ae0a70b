#include "tests/support/footage.h"
#include "tests/support/paths.h"
#include "tests/support/performance/conditions.h"
#include "tests/support/performance/room.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tabard::tests {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;

constexpr int kFrameRate = 25;
constexpr int kWidth = 320;
constexpr int kHeight = 180;

/// A grey film of a built performance, and the cue file its author would start from.
class ListenCommand : public testing::Test {
protected:
    void film(Manner const& manner, std::uint32_t seed)
    {
        auto bank = sound_font_notes("/usr/share/sounds/sf2/TimGM6mb.sf2", 25, "steel");
        ASSERT_TRUE(bank) << "install timgm6mb-soundfont";
        m_take = perform({.name = "film", .manner = manner}, *bank, seed);
        write_wav(m_folder / "sound.wav", m_take.sound, kSampleRate);
        auto const run = run_program({"ffmpeg", "-v", "error", "-f", "lavfi", "-i",
                                      fmt::format("color=gray:s={}x{}:r={}", kWidth, kHeight, kFrameRate), "-i",
                                      m_folder / "sound.wav", "-shortest", "-c:v", "libx264", "-preset", "ultrafast",
                                      "-c:a", "aac", "-b:a", "128k", m_folder / "film.mp4"});
        ASSERT_EQ(run.exit, 0) << run.err;
    }

    /// Rough times; those of `offset` seconds away are of no use.
    void write_cues(double offset = 0) const
    {
        std::string sections;
        for (std::size_t n = 0; n < m_take.played.chart.size(); ++n) {
            auto const& part = m_take.played.chart[n];
            sections += fmt::format(R"({}{{"name": "Part {}", "from": {:.1f}, "tempo": {:.0f}, "bars": "{}"}})",
                                    n == 0 ? "" : ",\n", n + 1, std::max(0.0, *part.about + offset),
                                    60 / part.beat_seconds, m_take.played.bars[n]);
        }
        write_text(m_folder / "rough.json", fmt::format(R"({{"tabard": 1, "title": "t", "footage": "film.mp4",
"sections": [{}]}})",
                                                        sections));
    }

    ProgramRun tabard(std::vector<std::string> words) const
    {
        words.insert(words.begin(), TABARD_PROGRAM);
        return run_program(words);
    }

    /// When each change of the chart is struck, in seconds.
    std::vector<double> strokes() const
    {
        std::vector<double> seconds;
        for (std::size_t part = 0; part < m_take.played.parts.size(); ++part)
            for (std::size_t span = 0; span < m_take.played.parts[part].span_starts.size(); ++span)
                if (m_take.played.chart[part].changes(span))
                    seconds.push_back(m_take.played.parts[part].span_starts[span]);
        return seconds;
    }

    TemporaryFolder m_folder;
    Take m_take;
};

/// When the name on the chord card changes, in seconds; a fade of some frames counts once.
std::vector<double> card_changes(std::string const& film)
{
    // The name alone: the diagram below it shows the next shape coming a beat before.
    constexpr std::size_t kPixels = std::size_t{80} * 18;
    constexpr int kVisible = 15; // grey levels: half a step of a fade
    constexpr int kPart = 12;    // pixels that change by so much
    constexpr double kFade = 0.25;
    auto const frames =
        run_program({"ffmpeg", "-v", "error", "-i", film, "-vf", "crop=80:18:18:12,format=gray", "-f", "rawvideo", "-"})
            .out;
    std::vector<double> changes;
    double last = -1;
    for (std::size_t at = kPixels; at + kPixels <= frames.size(); at += kPixels) {
        int changed = 0;
        for (std::size_t pixel = at; pixel < at + kPixels; ++pixel)
            changed += std::abs(static_cast<unsigned char>(frames[pixel]) -
                                static_cast<unsigned char>(frames[pixel - kPixels])) > kVisible;
        if (changed < kPart)
            continue;
        double const seconds = static_cast<double>(at / kPixels) / kFrameRate;
        if (seconds - last > kFade)
            changes.push_back(seconds);
        last = seconds;
    }
    return changes;
}

// ITU-R BT.1359-1: sound and picture belong together while the picture is at most 45 ms late and 125 ms early. The
// truth is when the built player strikes.
TEST_F(ListenCommand, EveryChordAppearsInTheFilmWithItsStroke)
{
    film({.parts = 2, .bars_per_part = 8, .about_error = 1}, 61);
    write_cues();
    auto const heard = tabard({"listen", m_folder / "rough.json", "-o", m_folder / "timed.json"});
    ASSERT_EQ(heard.exit, 0) << heard.err;
    auto const render =
        tabard({"render", m_folder / "timed.json", "-o", m_folder / "out.mp4", "--preset", "ultrafast"});
    ASSERT_EQ(render.exit, 0) << render.err;

    auto const struck = strokes();
    auto const shown = card_changes(m_folder / "out.mp4");
    EXPECT_GT(struck.size(), 12U);
    EXPECT_EQ(shown.size(), struck.size() + m_take.played.parts.size()); // and the card goes where a part ends
    for (double const stroke : struck) {
        double const nearest =
            *std::ranges::min_element(shown, {}, [=](double time) { return std::abs(time - stroke); });
        EXPECT_LE(nearest - stroke, 0.045) << "stroke at " << stroke;
        EXPECT_GE(nearest - stroke, -0.125) << "stroke at " << stroke;
    }
}

/// Where the pins of a cue file put bar 1 of each section, in seconds.
std::vector<double> bar_one(std::string const& cues)
{
    constexpr std::string_view kPin = "[\"1.1\", \"0:";
    std::vector<double> seconds;
    for (auto at = cues.find(kPin); at != std::string::npos; at = cues.find(kPin, at + 1))
        seconds.push_back(std::stod(cues.substr(at + kPin.size())));
    return seconds;
}

// The rough times lie outside the film altogether.
TEST_F(ListenCommand, AnywhereFindsThePartsWithoutTheirPlaces)
{
    film({.parts = 2, .bars_per_part = 6}, 71);
    write_cues(300);
    auto const heard = tabard({"listen", m_folder / "rough.json", "--anywhere", "-o", m_folder / "timed.json"});
    ASSERT_EQ(heard.exit, 0) << heard.err;
    auto const shown = bar_one(read_text(m_folder / "timed.json"));
    ASSERT_EQ(shown.size(), m_take.played.parts.size());
    for (std::size_t part = 0; part < shown.size(); ++part)
        EXPECT_NEAR(shown[part], m_take.played.parts[part].span_starts.front(), 0.08);
}

// Who writes one part first has playing before and after it that no chart explains. What is found then may be wrong,
// and is not written as if it were right. When the demo's parts are played stands in its own cue file.
TEST(ListenToOnePart, WritesItWhereItIsPlayedOrSaysThatThisIsDoubtful)
{
    TemporaryFolder const folder;
    struct {
        char const* name;
        char const* bars;
        double from;
    } const kParts[] = {{"Verse", "Am | F | C | Em", 16.6},
                        {"Tapped", "Am | C", 31},
                        {"Chorus", "F | C / G / | Am / C/G / | F", 37},
                        {"Bridge", "C | Em | F / G / | Am", 46.6}};
    int written = 0;
    for (auto const& [name, bars, from] : kParts)
        for (std::string const time : {"", "1.5 s before", "1.5 s after"}) {
            double const rough = time.ends_with("before") ? from - 1.5 : from + 1.5;
            std::string const when =
                time.empty() ? "" : fmt::format(R"(, "from": {}, "tempo": {})", rough, from < 35 ? 80 : 100);
            write_text(folder / "part.json",
                       fmt::format(R"({{"tabard": 1, "title": "t", "footage": "{}", "capo": 4, "key": "C#m",
                                      "sections": [{{"name": "{}", "bars": "{}"{}}}]}})",
                                   (source_folder() / "sample_media/lantern.mp4").string(), name, bars, when));
            auto const run = run_program({TABARD_PROGRAM, "listen", folder / "part.json", "-n", "--json"});
            ASSERT_EQ(run.exit, 0) << run.err;
            auto const heard = nlohmann::json::parse(run.out)["sections"][0];
            if (!heard["trusted"].get<bool>())
                continue;
            ++written;
            EXPECT_NEAR(heard["from"].get<double>(), from, 0.2) << name << " " << time;
        }
    EXPECT_GE(written, 4) << "nothing would be said too often";
}

// Chords alone are enough to begin with: listening finds when they are played, and what it writes has no error.
TEST_F(ListenCommand, FindsChartsThatSayNoTimeAtAll)
{
    film({.parts = 2, .bars_per_part = 6}, 71);
    std::string sections;
    for (std::string const& bars : m_take.played.bars)
        sections += fmt::format(R"({}{{"name": "Part {}", "bars": "{}"}})", sections.empty() ? "" : ",\n",
                                sections.empty() ? 1 : 2, bars);
    write_text(m_folder / "chords.json",
               fmt::format(R"({{"tabard": 1, "title": "t", "footage": "film.mp4", "sections": [{}]}})", sections));
    EXPECT_THAT(tabard({"check", "--quick", m_folder / "chords.json"}).out,
                testing::AllOf(HasSubstr("[no-time]"), HasSubstr("tabard listen")));
    auto const heard = tabard({"listen", m_folder / "chords.json", "-o", m_folder / "timed.json"});
    ASSERT_EQ(heard.exit, 0) << heard.err;
    auto const shown = bar_one(read_text(m_folder / "timed.json"));
    ASSERT_EQ(shown.size(), m_take.played.parts.size());
    for (std::size_t part = 0; part < shown.size(); ++part)
        EXPECT_NEAR(shown[part], m_take.played.parts[part].span_starts.front(), 0.08);
    auto const checked = tabard({"check", "--quick", m_folder / "timed.json"});
    EXPECT_EQ(checked.exit, 0) << checked.out;
}

TEST_F(ListenCommand, StopsAtCtrlCAndLeavesNothing)
{
    make_footage(m_folder / "minute.mkv", "color=gray:s=64x36:r=1:d=60",
                 {"-f", "lavfi", "-i", "sine=f=220:r=44100:d=60", "-c:a", "aac"});
    auto const loop = run_program({"ffmpeg", "-v", "error", "-stream_loop", "119", "-i", m_folder / "minute.mkv", "-c",
                                   "copy", m_folder / "film.mkv"});
    ASSERT_EQ(loop.exit, 0) << loop.err;
    write_text(m_folder / "rough.json", R"({"tabard": 1, "title": "t", "footage": "film.mkv",
"sections": [{"name": "A", "from": "0:10", "tempo": 80, "bars": "C | F"}]})");
    auto const files = [&] { return std::distance(std::filesystem::directory_iterator(m_folder.path()), {}); };
    auto const before = files();
    // Two hours of sound take seconds to decode, and a busy machine one to begin. In the foreground, `timeout` sends
    // one signal; else one more to its group, and a second Ctrl-C ends the program at once.
    auto const run = run_program({"timeout", "--foreground", "--preserve-status", "--signal=INT", "1.5", TABARD_PROGRAM,
                                  "listen", m_folder / "rough.json", "-o", m_folder / "timed.json"});
    EXPECT_EQ(run.exit, 130);
    EXPECT_THAT(run.err, HasSubstr("stopped")); // it ended by itself
    EXPECT_THAT(run.out, IsEmpty());
    EXPECT_EQ(files(), before);
}

} // namespace
} // namespace tabard::tests
