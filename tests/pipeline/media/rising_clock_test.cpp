#include "pipeline/media/read/rising_clock.h"

#include <vector>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::pipeline {
namespace {

using Said = std::optional<std::int64_t>;

// 25 pictures a second on a clock of milliseconds.
constexpr std::int64_t kStep = 40;
RisingClock milliseconds() { return {1, 1000}; }

std::vector<std::int64_t> settle_all(RisingClock& clock, std::vector<Said> const& said)
{
    std::vector<std::int64_t> settled;
    for (std::size_t i = 0; i < said.size(); ++i)
        settled.push_back(clock.settle(said[i], i + 1 < said.size() ? said[i + 1] : Said{}, kStep));
    return settled;
}

std::vector<Said> even(int pictures)
{
    std::vector<Said> said;
    for (int i = 0; i < pictures; ++i)
        said.emplace_back(i * kStep);
    return said;
}

RC_GTEST_PROP(RisingClock, RisingTimesAreWhatTheyWere, ())
{
    auto const steps = *rc::gen::container<std::vector<int>>(rc::gen::inRange(1, 600'000));
    std::vector<Said> said;
    std::vector<std::int64_t> expected;
    std::int64_t at = *rc::gen::inRange(-1000, 1000);
    for (int const step : steps) {
        said.emplace_back(at);
        expected.push_back(at);
        at += step;
    }
    auto clock = milliseconds();
    RC_ASSERT(settle_all(clock, said) == expected);
    RC_ASSERT(clock.repaired() == 0);
    RC_ASSERT(!clock.restart());
}

RC_GTEST_PROP(RisingClock, OneBrokenTimeSpoilsNoOther, ())
{
    constexpr int kPictures = 20;
    auto said = even(kPictures);
    auto const at = *rc::gen::inRange(0, kPictures - 1);
    bool const ahead = at < 2 || *rc::gen::arbitrary<bool>(); // of the first two alone, either may be the broken one
    // Further away than its neighbours: up to ten days ahead, or behind the picture before it.
    auto const away = *rc::gen::inRange<std::int64_t>(3 * kStep, 864'000'000);
    said[static_cast<std::size_t>(at)] = at * kStep + (ahead ? away : -away);
    auto clock = milliseconds();
    auto const settled = settle_all(clock, said);
    for (int i = 0; i < kPictures; ++i)
        if (i != at)
            RC_ASSERT(settled[static_cast<std::size_t>(i)] == i * kStep);
    RC_ASSERT(settled[static_cast<std::size_t>(at)] < (at + 1) * kStep);
    RC_ASSERT((at == 0 || settled[static_cast<std::size_t>(at)] > (at - 1) * kStep));
    RC_ASSERT(clock.repaired() == 1);
    RC_ASSERT(!clock.restart());
}

RC_GTEST_PROP(RisingClock, TimesRiseWhateverTheFileSays, ())
{
    auto const said = *rc::gen::container<std::vector<Said>>(
        rc::gen::oneOf(rc::gen::just(Said{}), rc::gen::map(rc::gen::inRange<std::int64_t>(-100'000'000, 100'000'000),
                                                           [](std::int64_t ticks) { return Said{ticks}; })));
    auto clock = milliseconds();
    auto const settled = settle_all(clock, said);
    for (std::size_t i = 1; i < settled.size(); ++i)
        RC_ASSERT(settled[i] > settled[i - 1]);
}

TEST(RisingClock, MissingTimesFollowAtTheNominalRate)
{
    auto clock = milliseconds();
    EXPECT_EQ(settle_all(clock, {Said{}, Said{}, Said{100}, Said{}, Said{180}}),
              (std::vector<std::int64_t>{0, 40, 100, 140, 180}));
    EXPECT_EQ(clock.repaired(), 2); // before the first picture there is nothing that could be known
}

TEST(RisingClock, ALongPictureIsNotBroken)
{
    auto clock = milliseconds();
    EXPECT_EQ(settle_all(clock, {Said{0}, Said{3'600'000}, Said{3'600'040}}),
              (std::vector<std::int64_t>{0, 3'600'000, 3'600'040}));
    EXPECT_EQ(clock.repaired(), 0);
}

TEST(RisingClock, ALastTimeThatIsDaysAwayIsNotBelieved)
{
    auto clock = milliseconds();
    EXPECT_EQ(settle_all(clock, {Said{0}, Said{40}, Said{90'000'000}}), (std::vector<std::int64_t>{0, 40, 80}));
    EXPECT_EQ(clock.repaired(), 1);
}

TEST(RisingClock, SeveralPicturesThatGoBackAreAnotherClock)
{
    std::vector<Said> said;
    for (int i = 0; i < 10; ++i)
        said.emplace_back(10'000 + i * kStep);
    for (int i = 0; i < 4; ++i)
        said.emplace_back(i * kStep);
    auto clock = milliseconds();
    settle_all(clock, said);
    EXPECT_FALSE(clock.restart());
    clock.settle(Said{4 * kStep}, {}, kStep);
    ASSERT_TRUE(clock.restart());
    EXPECT_EQ(clock.restart()->from, from_ticks(10'360, 1, 1000));
    EXPECT_EQ(clock.restart()->to, Time{0});
}

// As sound does whose clock begins again: packet follows packet.
TEST(RisingClock, AfterAClockThatBeginsAgainOneFollowsTheOther)
{
    std::vector<Said> said = even(25);
    for (int i = 0; i < 50; ++i)
        said.emplace_back(i * kStep);
    auto clock = milliseconds();
    auto const settled = settle_all(clock, said);
    for (std::size_t i = 0; i < settled.size(); ++i)
        EXPECT_EQ(settled[i], static_cast<std::int64_t>(i) * kStep);
}

TEST(RisingClock, WhereReadingGoesOnElsewhereNothingGoesBack)
{
    auto clock = milliseconds();
    settle_all(clock, {Said{10'000}, Said{10'040}});
    clock.jump();
    EXPECT_EQ(settle_all(clock, even(7)), (std::vector<std::int64_t>{0, 40, 80, 120, 160, 200, 240}));
    EXPECT_EQ(clock.repaired(), 0);
    EXPECT_FALSE(clock.restart());
}

TEST(RisingClock, APictureNeverSharesAnInstantOfOurClock)
{
    RisingClock clock(1, 1'000'000'000); // finer than 1/705,600,000 s
    auto const settled = settle_all(clock, {Said{0}, Said{1}, Said{2}});
    for (std::size_t i = 1; i < settled.size(); ++i)
        EXPECT_GT(from_ticks(settled[i], 1, 1'000'000'000), from_ticks(settled[i - 1], 1, 1'000'000'000));
}

} // namespace
} // namespace tabard::pipeline
