#include "pipeline/listen/align.h"
#include "tests/support/performance/conditions.h"
#include "tests/support/performance/guitars.h"

#include <algorithm>
#include <stdexcept>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

using pipeline::Deviation;

// Performances are built from a packaged sound font's notes, so the truth is the time at which each note was put.
class LeavingTheChart : public testing::Test {
protected:
    struct Heard {
        Performance played;
        pipeline::Alignment found;
    };

    Heard listen(Manner manner, std::uint32_t seed)
    {
        auto banks = sound_font_guitars();
        if (banks.empty())
            throw std::runtime_error("install timgm6mb-soundfont");
        auto const take = perform({.name = "built", .manner = std::move(manner)}, banks.front(), seed);
        return {take.played, pipeline::align(pipeline::hear(take.sound), take.played.chart)};
    }

    /// A bar that the chart does not have may sound as one of its bars does.
    static bool is_more(Deviation::Kind kind)
    {
        return kind == Deviation::Kind::extra || kind == Deviation::Kind::again;
    }

    /// Each part's deviations have the kind, the beats and, within 0.15 s, the times of those that were played. What
    /// was played of a part before it was begun anew is outside it.
    static void expect_same_deviations(Heard const& heard)
    {
        for (std::size_t p = 0; p < heard.played.parts.size(); ++p) {
            auto truth = heard.played.parts[p].deviations;
            std::erase_if(truth, [](Deviation const& one) { return one.beat == 0; });
            auto const& found = heard.found.parts[p].deviations;
            ASSERT_EQ(found.size(), truth.size()) << "part " << p;
            for (std::size_t n = 0; n < truth.size(); ++n) {
                EXPECT_EQ(is_more(found[n].kind), is_more(truth[n].kind));
                EXPECT_TRUE(found[n].kind == truth[n].kind || is_more(truth[n].kind));
                EXPECT_EQ(found[n].beat, truth[n].beat);
                EXPECT_EQ(found[n].next_beat, truth[n].next_beat);
                EXPECT_NEAR(found[n].from, truth[n].from, 0.15);
                EXPECT_NEAR(found[n].to, truth[n].to, 0.15);
            }
        }
    }

    /// Every beat is within 0.1 s of where it was played.
    static void expect_same_beats(Heard const& heard)
    {
        for (std::size_t p = 0; p < heard.played.parts.size(); ++p) {
            auto const& truth = heard.played.parts[p].beats;
            auto const& found = heard.found.parts[p].beats;
            ASSERT_EQ(found.size(), truth.size()) << "part " << p;
            for (std::size_t n = 0; n + 1 < truth.size(); ++n)
                EXPECT_NEAR(found[n], truth[n], 0.1) << "part " << p << " beat " << n;
        }
    }

    static Manner leaving(Departure departure)
    {
        Manner manner{.parts = 2};
        manner.departure = departure;
        manner.departing = 1;
        return manner;
    }
};

TEST_F(LeavingTheChart, PlainPlayingHasNoDeviation)
{
    auto const heard = listen(leaving(Departure::none), 61);
    expect_same_deviations(heard);
    expect_same_beats(heard);
}

TEST_F(LeavingTheChart, APauseAtABarLineIsNamedAndTheBeatsGoOnAfterIt)
{
    auto const heard = listen(leaving(Departure::pause), 72);
    ASSERT_EQ(heard.played.parts[0].deviations.size(), 1U);
    expect_same_deviations(heard);
    expect_same_beats(heard);
}

TEST_F(LeavingTheChart, SkippedBarsHaveTheTimeOfTheNextBar)
{
    auto const heard = listen(leaving(Departure::skip), 63);
    ASSERT_EQ(heard.played.parts[0].deviations.size(), 1U);
    expect_same_deviations(heard);
    expect_same_beats(heard);
}

TEST_F(LeavingTheChart, BarsThatArePlayedAgainCountTheLastTime)
{
    auto const heard = listen(leaving(Departure::again), 64);
    ASSERT_EQ(heard.played.parts[0].deviations.size(), 1U);
    expect_same_deviations(heard);
    expect_same_beats(heard);
}

TEST_F(LeavingTheChart, ABarOfItsOwnIsNamed)
{
    auto const heard = listen(leaving(Departure::extra), 65);
    ASSERT_EQ(heard.played.parts[0].deviations.size(), 1U);
    expect_same_deviations(heard);
    expect_same_beats(heard);
}

TEST_F(LeavingTheChart, APartWithoutAPlaceIsFoundInAnyOrder)
{
    Manner manner{.parts = 3};
    manner.order = PartOrder::other;
    manner.places_written = false;
    auto const heard = listen(manner, 66);
    expect_same_beats(heard);
}

TEST_F(LeavingTheChart, BothPlacesOfAPartThatIsPlayedTwiceAreNamed)
{
    Manner manner{.parts = 3};
    manner.order = PartOrder::twice;
    auto const heard = listen(manner, 67);
    int twice = 0;
    for (std::size_t p = 0; p < heard.played.parts.size(); ++p) {
        auto const& played = heard.played.parts[p];
        auto const& found = heard.found.parts[p];
        ASSERT_EQ(found.also_at.size(), played.earlier.size()) << "part " << p;
        if (played.earlier.empty())
            continue;
        ++twice;
        std::vector<double> begins{found.beats.front(), found.also_at[0].played.from};
        std::ranges::sort(begins);
        EXPECT_NEAR(begins[0], played.earlier[0].beats.front(), 1);
        EXPECT_NEAR(begins[1], played.beats.front(), 1);
    }
    EXPECT_EQ(twice, 1);
}

} // namespace
} // namespace tabard::tests
