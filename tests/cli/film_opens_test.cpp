#include "tests/support/opens.h"
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <cstdlib>
#include <filesystem>
#include <string>
#include <vector>

#include <gtest/gtest.h>

// A command reads the headers of a film once, for all that it must know of it. What it then decodes or copies, it opens
// the film for again.
namespace tabard::tests {
namespace {

namespace fs = std::filesystem;

class FilmOpens : public testing::Test {
protected:
    FilmOpens()
    {
        setenv("TABARD_CACHE", (m_folder / "cache").c_str(), 1);
        fs::copy_file(source_folder() / "sample_media/lantern.mp4", film);
        fs::copy_file(source_folder() / "sample_media/lantern.json", m_folder / "lantern.json");
        write_text(m_folder / "cut.csv", "from,to\n0:05,0:20\n");
    }

    ~FilmOpens() override { unsetenv("TABARD_CACHE"); }

    /// How often a command opens the film that its cue file names.
    int opens(std::vector<std::string> words)
    {
        words.insert(words.begin(), TABARD_PROGRAM);
        OpenCount count(film);
        ProgramRun const run = run_program(words);
        EXPECT_EQ(run.exit, 0) << words[1] << ": " << run.err;
        return count.so_far();
    }
    std::string file(std::string const& name) const { return m_folder / name; }

    TemporaryFolder m_folder;
    fs::path const film = m_folder / "lantern.mp4";
};

// Once before anything else, to notice later whether the film changed meanwhile (see Inputs); once for its headers, and
// then once to compare the bytes that are there with what the index says.
constexpr int kNoted = 1;
constexpr int kHeaders = 2;
constexpr int kPicture = 1;
constexpr int kSound = 1;
constexpr int kFingerprint = 1;
constexpr int kCopied = 1; // the streams that are not encoded
// How light the film is decides which cards it gets: kept for the next command under the film's fingerprint.
constexpr int kLight = kFingerprint + kPicture;
constexpr int kKnownLight = kFingerprint;

TEST_F(FilmOpens, ForFactsAloneAreOneReadingOfTheHeaders)
{
    int const facts = kNoted + kHeaders;
    EXPECT_EQ(opens({"sheet", file("lantern.json"), "-o", file("sheet.pdf")}), facts);
    EXPECT_EQ(opens({"export", file("lantern.json"), "--to", "csv"}), facts);
    EXPECT_EQ(opens({"export", file("lantern.json"), "--to", "edl", "--through", file("cut.csv")}), facts);
    EXPECT_EQ(opens({"retime", file("lantern.json"), "--by", file("cut.csv")}), facts);
    EXPECT_EQ(opens({"check", "--quick", file("lantern.json")}), facts);
    EXPECT_EQ(opens({"check", "--quick", file("lantern.json"), "--through", file("cut.csv")}), facts);
}

// Frame 5 of second 1 needs the film's rate while the cue file is read.
TEST_F(FilmOpens, ForLabelsWithFramesAreNoMore)
{
    write_text(m_folder / "labels.json", R"({"tabard": 1, "title": "t", "footage": "lantern.mp4",
"sections": [{"name": "Talk", "from": "0:00:01:05", "to": "0:00:20:00"}]})");
    EXPECT_EQ(opens({"export", file("labels.json"), "--to", "csv"}), kNoted + kHeaders);
}

TEST_F(FilmOpens, ForAPictureAreOneReadingMore)
{
    EXPECT_EQ(opens({"still", file("lantern.json"), "--at", "0:05", "--theme", "dark_card", "-o", file("dark.png")}),
              kNoted + kHeaders + kPicture);
    EXPECT_EQ(opens({"still", file("lantern.json"), "--at", "0:05", "-o", file("still.png")}),
              kNoted + kHeaders + kLight + kPicture);
    int const facts = kNoted + kHeaders + kKnownLight;
    EXPECT_EQ(opens({"still", file("lantern.json"), "--at", "0:06", "-o", file("next.png")}), facts + kPicture);
    // For a cover: its picture, and then what moves around it.
    EXPECT_EQ(opens({"publish", file("lantern.json"), "-o", file("beside")}), facts + 2 * kPicture);
    EXPECT_EQ(opens({"publish", file("lantern.json"), "-o", file("embedded"), "--embed", film}),
              facts + 2 * kPicture + kCopied);
}

TEST_F(FilmOpens, ForItsSoundAreOneReadingMore)
{
    int const heard = kNoted + kHeaders + kSound;
    EXPECT_EQ(opens({"listen", file("lantern.json"), "--dry-run"}), heard);
    EXPECT_EQ(opens({"start", film, "-o", file("started.json")}), heard + kFingerprint);
}

// Of pictures: whether all are there, the keyframes, then some seconds as they move (once for each job), then those of
// the report, before which the cards' colour is asked for again; of sound: how loud it is, and what is played.
TEST_F(FilmOpens, ForAFullCheckAreFourReadingsOfPicturesAndTwoOfSound)
{
    EXPECT_EQ(opens({"check", file("lantern.json"), "--listen", "--jobs", "1", "--report", file("report.html")}),
              kNoted + kHeaders + kLight + 4 * kPicture + kKnownLight + 2 * kSound);
}

TEST_F(FilmOpens, ForARenderAreAtMostOneReadingOfPicturesAndOneOfTheRest)
{
    int const facts = kNoted + kHeaders + kLight;
    write_text(m_folder / "short.json", R"({"tabard": 1, "title": "t", "footage": "lantern.mp4",
"sections": [{"name": "Talk", "from": "0:01", "to": "0:02", "show": [{"chord": "C", "from": "0:01"}]}]})");
    EXPECT_LE(opens({"render", file("lantern.json"), "--plan"}), facts + kPicture);
    EXPECT_LE(opens({"render", file("lantern.json"), "--no-cache", "--draft", "--to", "0:02", "-o", file("film.mp4")}),
              facts + kPicture + kCopied);
    EXPECT_LE(opens({"render", file("short.json"), "--no-cache", "-o", file("spliced.mp4")}),
              facts + kPicture + kCopied);
    EXPECT_LE(opens({"render", file("lantern.json"), "--overlay-only", "--to", "0:02", "-o", file("track.mov")}),
              facts + kPicture);
}

} // namespace
} // namespace tabard::tests
