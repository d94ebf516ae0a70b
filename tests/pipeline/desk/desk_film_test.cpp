#include "pipeline/desk/view/desk_film.h"
#include "pipeline/desk/view/stand_in.h"
#include "pipeline/desk/view/waveform.h"
#include "pipeline/media/read/probe.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <chrono>
#include <cstdlib>
#include <mutex>
#include <thread>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

KnownFilm known(fs::path const& path)
{
    KnownFilm film;
    film.path = path;
    auto headers = probe_film(path);
    if (headers) {
        film.facts = facts_of(*headers);
        film.headers = *std::move(headers);
    } else {
        film.error = headers.error();
    }
    return film;
}

template <class Ready>
bool comes(Ready const& ready)
{
    for (int i = 0; i < 6000; ++i, std::this_thread::sleep_for(std::chrono::milliseconds(10)))
        if (ready())
            return true;
    return false;
}

class FilmOfTheDesk : public testing::Test {
protected:
    std::unique_ptr<DeskFilm> desk_film()
    {
        return std::make_unique<DeskFilm>(FilmFolders{m_folder / "state", m_folder / "cache"},
                                          [this](FilmState const& state) {
                                              std::scoped_lock const lock{m_mutex};
                                              m_told.push_back(state);
                                          });
    }
    void SetUp() override { fs::create_directories(m_folder / "state"); }
    std::vector<FilmState> told()
    {
        std::scoped_lock const lock{m_mutex};
        return m_told;
    }

    tests::TemporaryFolder m_folder;
    std::mutex m_mutex;
    std::vector<FilmState> m_told;
};

TEST_F(FilmOfTheDesk, HasEachFrameAndTheSoundOfAPlayableFilm)
{
    fs::path const path = m_folder / "film.mp4";
    // A tone that is silent for the first of two seconds. Its amplitude is 1/8 (libavfilter's sine), 32 of 255.
    tests::make_footage(path, "testsrc2=s=320x180:r=30000/1001:d=2",
                        {"-f", "lavfi", "-i", "sine=f=441:d=2:r=44100,volume='if(lt(t,1),0,1)':eval=frame", "-c:v",
                         "libx264", "-pix_fmt", "yuv420p", "-c:a", "aac"});
    auto const film = desk_film();
    film->take(known(path));
    EXPECT_EQ(film->state().state, "ready");
    EXPECT_EQ(film->playable(), path);
    ASSERT_TRUE(comes([&] { return !film->frames() || *film->frames(); }));
    ASSERT_TRUE(film->frames());
    std::vector<std::string> const rows = tests::ffprobe_rows(path, "frame=pts_time");
    ASSERT_EQ((*film->frames())->size(), rows.size());
    for (std::size_t i = 0; i < rows.size(); ++i)
        EXPECT_NEAR(to_seconds((**film->frames())[i]), std::atof(rows[i].c_str()), 1e-6);
    ASSERT_TRUE(comes([&] { return !film->waveform() || *film->waveform(); }));
    ASSERT_TRUE(film->waveform());
    std::string const& loud = **film->waveform();
    EXPECT_NEAR(static_cast<double>(loud.size()), 100, 3); // fifty a second; AAC pads the end
    EXPECT_LE(static_cast<unsigned char>(loud[20]), 1);
    EXPECT_NEAR(static_cast<unsigned char>(loud[75]), 32, 3);
    EXPECT_TRUE(told().empty());
}

TEST_F(FilmOfTheDesk, IsReadOnceAndThenKnown)
{
    fs::path const path = m_folder / "film.mp4";
    tests::make_footage(path, "testsrc2=s=320x180:r=25:d=1", {"-c:v", "libx264", "-pix_fmt", "yuv420p"});
    for (int i = 0; i < 2; ++i) {
        auto const film = desk_film();
        film->take(known(path));
        ASSERT_TRUE(comes([&] { return !film->waveform() || *film->waveform(); }));
        ASSERT_TRUE(film->frames());
        EXPECT_EQ((*film->frames())->size(), 25U);
        EXPECT_EQ(**film->waveform(), ""); // no sound
    }
    std::size_t files = 0;
    for ([[maybe_unused]] auto const& file : fs::directory_iterator(m_folder / "state"))
        ++files;
    EXPECT_EQ(files, 2U);
}

TEST_F(FilmOfTheDesk, GetsAStandInOnceAndSaysHowFarItIs)
{
    fs::path const path = m_folder / "film.avi";
    tests::make_footage(path, "testsrc2=s=640x480:r=25:d=2", {"-c:v", "mpeg4"});
    {
        auto const film = desk_film();
        film->take(known(path));
        EXPECT_EQ(film->state().state, "making");
        EXPECT_FALSE(film->playable());
        ASSERT_TRUE(comes([&] { return film->state().state != "making"; }));
        ASSERT_EQ(film->state().state, "ready") << film->state().why;
        ASSERT_TRUE(film->playable());
        EXPECT_TRUE(plays_in_browsers(*known(*film->playable()).headers));
    }
    auto const states = told();
    ASSERT_GE(states.size(), 3U);
    EXPECT_EQ(states.back().state, "ready");
    for (std::size_t i = 0; i + 2 < states.size(); ++i) {
        EXPECT_EQ(states[i].state, "making");
        EXPECT_LE(states[i].share, states[i + 1].share);
    }
    auto const again = desk_film();
    again->take(known(path));
    ASSERT_TRUE(comes([&] { return again->state().state == "ready"; }));
    EXPECT_EQ(told().size(), states.size() + 1); // ready, and nothing was made
}

TEST_F(FilmOfTheDesk, IsMissingUntilItIsThere)
{
    fs::path const path = m_folder / "film.mp4";
    auto const film = desk_film();
    film->take(known(path));
    EXPECT_EQ(film->state().state, "missing");
    EXPECT_NE(film->state().why, "");
    EXPECT_FALSE(film->playable());
    tests::write_text(path, "this is no film");
    film->take(known(path));
    EXPECT_EQ(film->state().state, "refused");
    tests::make_footage(path, "testsrc2=s=320x180:r=25:d=1", {"-y", "-c:v", "libx264", "-pix_fmt", "yuv420p"});
    film->take(known(path));
    EXPECT_EQ(film->state().state, "ready");
    ASSERT_TRUE(comes([&] { return !film->frames() || *film->frames(); }));
    ASSERT_TRUE(film->frames());
    EXPECT_EQ((*film->frames())->size(), 25U);
}

TEST_F(FilmOfTheDesk, EndsWhatItMakesWithoutATrace)
{
    fs::path const path = m_folder / "film.avi";
    tests::make_footage(path, "testsrc2=s=640x480:r=25:d=20", {"-c:v", "mpeg4"});
    auto film = desk_film();
    film->take(known(path));
    ASSERT_TRUE(comes([&] { return film->state().share > 0; }));
    film.reset();
    for (auto const& file : fs::recursive_directory_iterator(m_folder / "cache"))
        EXPECT_TRUE(file.is_directory()) << file.path();
}

} // namespace
} // namespace tabard::pipeline
