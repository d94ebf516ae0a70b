#include "overlay/music/hand/joint_choice.h"
#include "overlay/music/hand/movement.h"
#include "overlay/music/hand/shapes_together.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::overlay {
namespace {

using testing::ElementsAre;

int cost(std::string const& from, std::string const& from_fingers, std::string const& to, std::string const& to_fingers)
{
    return movement_cost(holds_of(*Shape::parse(from, from_fingers)), holds_of(*Shape::parse(to, to_fingers)));
}

TEST(MovementCost, CountsWhatEachFingerDoesByItsWeights)
{
    // The weights stand in movement.h; each sum was added by hand over the fingers.
    EXPECT_EQ(cost("x32010", "-32-1-", "x32010", "-32-1-"), 0) << "nothing moves; never below zero";
    EXPECT_EQ(cost("022000", "-12---", "x02210", "--231-"), 9)
        << "2 stays, 1 moves 4, 3 lands 4, the hand goes from fret 2 to 1";
    EXPECT_EQ(cost("x02210", "--231-", "022000", "-12---"), 5)
        << "2 stays, 1 moves 4, 3 lifts, the hand goes from fret 1 to 2";
    EXPECT_EQ(cost("x32010", "-32-1-", "x02210", "--231-"), 0) << "1 and 2 stay -4, 3 moves 4";
    EXPECT_EQ(cost("133211", "134211", "355433", "134211"), 14) << "four fingers slide 12, two frets 2";
    EXPECT_EQ(cost("000000", "------", "320003", "21---3"), 12) << "three land, from open strings there is no way";
}

/// All ways to take an option each, counted like the digits of a number.
template <class Visit>
void each_choice(std::vector<std::size_t> const& sizes, Visit visit)
{
    std::vector<std::size_t> options(sizes.size(), 0);
    for (;;) {
        visit(options);
        std::size_t i = sizes.size();
        while (i > 0 && ++options[i - 1] == sizes[i - 1])
            options[--i] = 0;
        if (i == 0)
            return;
    }
}

RC_GTEST_PROP(JointChoice, IsTheFirstOfTheLeastThatTryingAllFinds, ())
{
    auto const small = [] { return *rc::gen::inRange<std::int64_t>(0, 6); };
    JointChoice choice;
    std::vector<std::size_t> sizes;
    auto const things = *rc::gen::inRange(1, 6);
    for (int i = 0; i < things; ++i) {
        sizes.push_back(*rc::gen::inRange<std::size_t>(1, 4));
        auto& own = choice.own.emplace_back();
        for (std::size_t k = 0; k < sizes.back(); ++k)
            own.push_back(small());
    }
    for (std::size_t a = 0; a < sizes.size(); ++a)
        for (std::size_t b = 0; b < sizes.size(); ++b)
            if (a != b && *rc::gen::arbitrary<bool>()) {
                JointChoice::Pair pair{a, b, {}};
                for (std::size_t k = 0; k < sizes[a]; ++k) {
                    auto& row = pair.cost.emplace_back();
                    for (std::size_t j = 0; j < sizes[b]; ++j)
                        row.push_back(small());
                }
                choice.pairs.push_back(pair);
            }
    std::vector<std::size_t> best(sizes.size(), 0);
    each_choice(sizes, [&](auto const& options) {
        if (choice.cost_of(options) < choice.cost_of(best))
            best = options;
    });
    RC_ASSERT(least_cost(choice) == best);
}

TEST(JointChoice, OfManyThingsIsOneThatNoOtherOptionImproves)
{
    // Each of 40 things beside each other one, with costs that are no sum of parts: beyond the exact search.
    JointChoice choice;
    std::uint32_t state = 1;
    auto const next = [&] { return std::int64_t{(state = state * 1664525U + 1013904223U) >> 24}; };
    for (std::size_t a = 0; a < 40; ++a) {
        choice.own.push_back({next(), next(), next()});
        for (std::size_t b = 0; b < a; ++b)
            choice.pairs.push_back(
                {a, b, {{next(), next(), next()}, {next(), next(), next()}, {next(), next(), next()}}});
    }
    auto const chosen = least_cost(choice);
    EXPECT_EQ(least_cost(choice), chosen);
    for (std::size_t thing = 0; thing < chosen.size(); ++thing)
        for (std::size_t option = 0; option < 3; ++option) {
            auto other = chosen;
            other[thing] = option;
            EXPECT_GE(choice.cost_of(other), choice.cost_of(chosen));
        }
}

std::vector<FoundShape> const& choices(std::string const& name)
{
    static std::map<std::string, std::vector<FoundShape>> known;
    auto const [found, is_new] = known.try_emplace(name);
    if (is_new)
        found->second = first_choices(*ChordName::parse(name), Tuning{});
    return found->second;
}

/// A song of one part, which has each of these chords once.
SongForHand song_of(std::vector<std::string> const& names)
{
    SongForHand song;
    song.parts.emplace_back();
    for (auto const& name : names) {
        song.parts.front().push_back(song.chords.size());
        song.chords.push_back(choices(name));
    }
    return song;
}

std::vector<std::string> frets_of(std::vector<std::string> const& names)
{
    auto const song = song_of(names);
    std::vector<std::string> frets;
    auto const chosen = shapes_together(song);
    for (std::size_t i = 0; i < chosen.size(); ++i)
        frets.push_back(song.chords[i][chosen[i].option].shape.frets_text());
    return frets;
}

TEST(ShapesTogether, AskNoMoreOfTheHandThanAnyOtherChoiceOfTheSameShapes)
{
    for (auto const& names : {std::vector<std::string>{"G", "Cadd9", "Em7", "Dsus4"},
                              {"Bb", "Gm", "Eb", "F"},
                              {"D", "D/F#", "G", "A7sus4"},
                              {"C#m", "B", "F#m", "E"}}) {
        auto const song = song_of(names);
        auto const total = [&](std::vector<std::size_t> const& options) {
            std::int64_t sum = 0;
            for (std::size_t i = 0; i < options.size(); ++i) {
                std::size_t const next = (i + 1) % options.size();
                auto const& here = song.chords[i][options[i]];
                // A shape's cost counts threefold, as shapes_together.cpp says; rounded for each.
                sum += std::llround(3 * (here.cost - song.chords[i].front().cost)) +
                       movement_cost(holds_of(here.shape), holds_of(song.chords[next][options[next]].shape));
            }
            return sum;
        };
        std::vector<std::size_t> chosen;
        std::vector<std::size_t> sizes;
        for (auto const& one : shapes_together(song))
            chosen.push_back(one.option);
        for (auto const& options : song.chords)
            sizes.push_back(options.size());
        std::int64_t least = total(chosen);
        each_choice(sizes, [&](auto const& options) { least = std::min(least, total(options)); });
        EXPECT_EQ(total(chosen), least) << names.front();
    }
}

// Two fingers that stay on the two highest strings while these four are played: every player's way (common practice).
TEST(ShapesTogether, KeepTheRingAndLittleFingerInTheirPlaceWhereTheOpenChordsAllowIt)
{
    EXPECT_THAT(frets_of({"G", "Cadd9", "Em7", "Dsus4"}), ElementsAre("320033", "x32033", "020033", "xx0233"));
    auto const song = song_of({"G", "Cadd9", "Em7", "Dsus4"});
    std::vector<Shape> shapes;
    auto const chosen = shapes_together(song);
    for (std::size_t i = 0; i < chosen.size(); ++i) {
        shapes.push_back(song.chords[i][chosen[i].option].shape);
        EXPECT_EQ(chosen[i].moves, "fingers 3 and 4 stay");
        EXPECT_TRUE(chosen[i].beside);
    }
    EXPECT_EQ(anchor_text(anchor_of(shapes), 6), "keep fingers 3 and 4 on strings 2 and 1 (fret 3)");
}

TEST(ShapesTogether, LeaveTheOpenChordsOfABeginnerAsTheyAreInEveryOrder)
{
    // The open shapes of every beginner's book (common practice, no published source).
    std::map<std::string, std::string> const book{
        {"C", "x32010"}, {"G", "320003"}, {"Am", "x02210"}, {"F", "133211"},  {"D", "xx0232"},  {"Em", "022000"},
        {"A", "x02220"}, {"E", "022100"}, {"Dm", "xx0231"}, {"E7", "020100"}, {"D7", "xx0212"}, {"B7", "x21202"}};
    std::vector<std::string> names;
    for (auto const& [name, frets] : book)
        names.push_back(name);
    for (auto const& a : names)
        for (auto const& b : names) {
            if (a == b)
                continue;
            EXPECT_THAT(frets_of({a, b}), ElementsAre(book.at(a), book.at(b)));
            for (auto const& c : names) {
                if (a == c || b == c)
                    continue;
                EXPECT_THAT(frets_of({a, b, c}), ElementsAre(book.at(a), book.at(b), book.at(c)));
                for (auto const* d : {"C", "G", "Em"})
                    if (a != d && b != d && c != d) {
                        EXPECT_THAT(frets_of({a, b, c, d}),
                                    ElementsAre(book.at(a), book.at(b), book.at(c), book.at(d)));
                    }
            }
        }
}

TEST(FirstChoices, BeginWithTheUsualShapeAndAreAsFullAndAsOpen)
{
    for (auto const* name :
         {"C", "G", "Am", "F", "Bm", "Bb", "Cadd9", "Em7", "Dsus4", "F#m7b5", "D/F#", "A5", "Gmaj7"}) {
        auto const& found = choices(name);
        ASSERT_FALSE(found.empty());
        EXPECT_EQ(found.front().shape, *default_shape(*ChordName::parse(name), Tuning{})) << name;
        auto const count = [](Shape const& shape, auto is) { return std::ranges::count_if(shape.frets, is); };
        for (auto const& one : found) {
            auto const sounds = [](int fret) { return fret != kMuted; };
            auto const open = [](int fret) { return fret == 0; };
            EXPECT_GE(count(one.shape, sounds), count(found.front().shape, sounds)) << name << one.shape.frets_text();
            EXPECT_EQ(count(one.shape, open) > 0, count(found.front().shape, open) > 0) << one.shape.frets_text();
        }
    }
}

} // namespace
} // namespace tabard::overlay
