// Sound that a render found whole is not decoded again by the next one, and no other sound is taken for it.
#include "pipeline/media/read/film_flaws.h"
#include "pipeline/media/read/picture_times.h"
#include "pipeline/render/switchable_film.h"
#include "pipeline/render/whole_sound.h"
#include "tests/pipeline/render/film_for_test.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <filesystem>
#include <string>
#include <utility>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using testing::Contains;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;
using testing::SizeIs;

class WholeSound : public testing::Test {
protected:
    WholeSound()
    {
        tests::make_footage(m_folder / "in.mp4", "testsrc2=s=160x96:r=25:d=4",
                            {"-f", "lavfi", "-i", "sine=r=48000", "-pix_fmt", "yuv420p", "-g", "25", "-preset",
                             "veryfast", "-c:a", "aac", "-shortest"});
    }
    FilmJob job(std::string const& footage, std::string const& film) const
    {
        FilmJob job = tests::job_for(m_folder / footage, m_folder / film,
                                     {{from_seconds(1.2), from_seconds(1.8), tests::text_scene()}});
        job.method = Method::splice_only;
        job.cache = m_folder / "cache";
        return job;
    }
    SwitchableJob switchable(std::string const& footage, std::string const& film) const
    {
        SwitchableJob job;
        job.footage = m_folder / footage;
        job.target = m_folder / film;
        job.cache = m_folder / "cache";
        job.tracks = {{"Full shapes", SceneRuns({{from_seconds(1.2), from_seconds(1.8), tests::text_scene()}}),
                       tests::plain_look(), true}};
        return job;
    }
    /// What the next render would not decode.
    SoundDigests known(std::string const& footage) const
    {
        auto film = CodedFilm::open(m_folder / footage);
        EXPECT_TRUE(film && find_flaws(*film));
        return known_whole_sound(*film, GroupCache(m_folder / "cache"));
    }
    /// Noise in the place of some packets in the middle, by the places that ffprobe gives.
    void damage_sound(std::string const& whole, std::string const& damaged) const
    {
        std::string film = tests::read_text(m_folder / whole);
        auto const packets = tests::ffprobe_rows(m_folder / whole, "packet=size,pos", "a:0");
        ASSERT_GT(packets.size(), 60U);
        for (std::size_t i = 50; i < 55; ++i) {
            auto const comma = packets[i].find(',');
            std::size_t const at = std::stoul(packets[i].substr(comma + 1));
            for (std::size_t j = at; j < at + std::stoul(packets[i]); ++j)
                film[j] = static_cast<char>(j * 2654435761U >> 13);
        }
        tests::write_text(m_folder / damaged, film);
    }
    tests::TemporaryFolder m_folder;
};

TEST_F(WholeSound, IsDecodedByTheFirstRenderAlone)
{
    EXPECT_THAT(known("in.mp4"), IsEmpty());
    ASSERT_TRUE(render_film(job("in.mp4", "first.mp4")));
    EXPECT_THAT(known("in.mp4"), SizeIs(1));
    ASSERT_TRUE(render_film(job("in.mp4", "second.mp4")));
    FilmJob alone = job("in.mp4", "alone.mp4");
    alone.cache.reset();
    ASSERT_TRUE(render_film(alone));
    EXPECT_TRUE(tests::read_text(m_folder / "second.mp4") == tests::read_text(m_folder / "first.mp4"));
    EXPECT_TRUE(tests::read_text(m_folder / "alone.mp4") == tests::read_text(m_folder / "first.mp4"));
}

TEST_F(WholeSound, IsNotWhatItIsAfterDamageNorIsDamagedSoundEverTakenForWhole)
{
    ASSERT_TRUE(render_film(job("in.mp4", "film.mp4")));
    damage_sound("in.mp4", "damaged.mp4");
    for (char const* film : {"first.mp4", "second.mp4"}) {
        EXPECT_THAT(known("damaged.mp4"), IsEmpty()) << film;
        auto const report = render_film(job("damaged.mp4", film));
        ASSERT_TRUE(report) << report.error().what;
        EXPECT_THAT(report->notes, Contains(HasSubstr("The sound of track 1 (audio, aac) is damaged"))) << film;
    }
}

// AAC begins with a packet before 0, which Matroska leaves out.
TEST_F(WholeSound, OfAFilmWithOverlaysToSwitchIsDecodedByTheFirstAlone)
{
    ASSERT_TRUE(render_switchable(switchable("in.mp4", "first.mkv")));
    EXPECT_THAT(known("in.mp4"), SizeIs(1)) << "what a render finds";
    auto film = CodedFilm::open(m_folder / "in.mp4");
    ASSERT_TRUE(film && read_picture_times(*film));
    EXPECT_EQ(known_whole_sound(*film, GroupCache(m_folder / "cache")), known("in.mp4"));
    auto const second = render_switchable(switchable("in.mp4", "second.mkv"));
    ASSERT_TRUE(second) << second.error().what;
    SwitchableJob alone = switchable("in.mp4", "alone.mkv");
    alone.cache.reset();
    ASSERT_TRUE(render_switchable(alone));
    EXPECT_TRUE(tests::read_text(m_folder / "second.mkv") == tests::read_text(m_folder / "first.mkv"));
    EXPECT_TRUE(tests::read_text(m_folder / "alone.mkv") == tests::read_text(m_folder / "first.mkv"));
}

TEST_F(WholeSound, ThatIsDamagedIsLeftOutOfEachFilmWithOverlaysToSwitch)
{
    damage_sound("in.mp4", "damaged.mp4");
    for (char const* film : {"first.mkv", "second.mkv"}) {
        EXPECT_THAT(known("damaged.mp4"), IsEmpty()) << film;
        auto const report = render_switchable(switchable("damaged.mp4", film));
        ASSERT_TRUE(report) << report.error().what;
        EXPECT_THAT(report->notes, Contains(HasSubstr("The sound of track 1 (audio, aac) is damaged"))) << film;
    }
}

TEST_F(WholeSound, ThatIsSaidToBeWholeIsCopiedUnseenAndMustBeTheSame)
{
    damage_sound("in.mp4", "damaged.mp4");
    FilmJob trusting = job("damaged.mp4", "trusting.mp4");
    trusting.cache.reset();
    auto film = CodedFilm::open(m_folder / "damaged.mp4");
    ASSERT_TRUE(film && find_flaws(*film));
    trusting.write.whole_sound = film->sound();
    auto const report = render_film(trusting);
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_THAT(report->notes, Not(Contains(HasSubstr("The sound of"))));

    FilmJob mistaken = job("in.mp4", "mistaken.mp4");
    mistaken.cache.reset();
    mistaken.write.whole_sound = film->sound();
    auto const refused = render_film(mistaken);
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().kind, ErrorKind::io);
    EXPECT_THAT(refused.error().what, HasSubstr("changed while it was read"));
}

} // namespace
} // namespace tabard::pipeline
